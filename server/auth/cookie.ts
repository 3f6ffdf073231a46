import type { CookieSerializeOptions } from '@fastify/cookie'

/** A browser keeps a link for this long after it was last opened. */
const KEPT_S = 60 * 24 * 3600

interface Cookie {
  name: string
  options: CookieSerializeOptions
}

/**
 * The cookie of one link: a browser may hold several. Under TLS the `__Host-` prefix makes the browser refuse one that
 * another host or an unencrypted page set; the prefix asks for the path /.
 */
export function cookieOf(linkId: string, publicUrl: string | undefined): Cookie {
  const secure = isSecure(publicUrl)
  return {
    name: `${prefixOf(publicUrl)}${linkId}`,
    options: { httpOnly: true, sameSite: 'strict', secure, path: secure ? '/' : '/api', maxAge: KEPT_S }
  }
}

/** Whether any cookie of a link is among these. */
export function carriesLink(
  cookies: Readonly<Record<string, string | undefined>>,
  publicUrl: string | undefined
): boolean {
  return Object.keys(cookies).some((name) => name.startsWith(prefixOf(publicUrl)))
}

export const isSecure = (publicUrl: string | undefined): boolean => publicUrl?.startsWith('https:') ?? false

const prefixOf = (publicUrl: string | undefined): string => (isSecure(publicUrl) ? '__Host-ullage_' : 'ullage_')
