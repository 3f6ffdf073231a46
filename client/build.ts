/**
 * Whether the service has another page than this one, which may have been kept for long. Neither a page nor a service
 * that was not built, as in development, can tell.
 */
export function isOutdated(serverVersion: string, page: ParentNode = document): boolean {
  const own = page.querySelector<HTMLMetaElement>('meta[name="build"]')?.content
  const [, served] = serverVersion.split('+')
  return own !== undefined && served !== undefined && own !== served
}
