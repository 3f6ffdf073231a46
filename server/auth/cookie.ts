import { fastifyCookie as cookie, type SerializeOptions } from '@fastify/cookie'

/** A browser keeps a link for this long after it was last opened. */
const KEPT_S = 60 * 24 * 3600

/**
 * The cookie of one link: a browser may hold several. Under TLS the `__Host-` prefix makes the browser refuse one that
 * another host or an unencrypted page set; the prefix asks for the path /.
 */
export const cookieFor = (linkId: string, secret: string, publicUrl: string | undefined): string =>
  cookie.serialize(nameOf(linkId, publicUrl), secret, { ...optionsOf(publicUrl), maxAge: KEPT_S })

/** What makes a browser forget it. */
export const noCookieFor = (linkId: string, publicUrl: string | undefined): string =>
  cookie.serialize(nameOf(linkId, publicUrl), '', { ...optionsOf(publicUrl), maxAge: 0, expires: new Date(0) })

/** The secret of a link among the cookies of a request. */
export const secretIn = (
  cookies: string | undefined,
  linkId: string,
  publicUrl: string | undefined
): string | undefined => (cookies === undefined ? undefined : cookie.parse(cookies)[nameOf(linkId, publicUrl)])

/** Whether any cookie of a link is among those of a request. */
export const carriesLink = (cookies: string | undefined, publicUrl: string | undefined): boolean =>
  cookies !== undefined && Object.keys(cookie.parse(cookies)).some((name) => name.startsWith(prefixOf(publicUrl)))

function optionsOf(publicUrl: string | undefined): SerializeOptions {
  const secure = isSecure(publicUrl)
  return { httpOnly: true, sameSite: 'strict', secure, path: secure ? '/' : '/api' }
}

const nameOf = (linkId: string, publicUrl: string | undefined): string => `${prefixOf(publicUrl)}${linkId}`

export const isSecure = (publicUrl: string | undefined): boolean => publicUrl?.startsWith('https:') ?? false

const prefixOf = (publicUrl: string | undefined): string => (isSecure(publicUrl) ? '__Host-ullage_' : 'ullage_')
