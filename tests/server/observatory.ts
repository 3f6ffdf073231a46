/*
 * The marks of the HTTP Observatory for the headers of a page under TLS, from its published rules: the table of modifiers
 * (src/grader/charts.js), how they are added up (src/scanner/index.js) and what each looks at (src/analyzer/tests) of
 * github.com/mdn/mdn-http-observatory, as they stood in 2025 and 2026. Written anew here; only what can apply to a page
 * that answers is there. Whether plain HTTP leads to TLS is the proxy's and not seen here: it gives 0 at best.
 */

export interface Page {
  headers: Readonly<Record<string, string | undefined>>
  /** Each `Set-Cookie`. */
  cookies: readonly string[]
  html: string
}

const MOST_OF_A = 90
const SIX_MONTHS_S = 15_768_000
const BROAD = ['ftp:', 'http:', 'https:', '*', 'http://*', 'http://*.*', 'https://*', 'https://*.*']
const INLINE = ["'unsafe-inline'", 'data:']
const PRIVATE = ['no-referrer', 'same-origin', 'strict-origin', 'strict-origin-when-cross-origin']

const RULES = {
  'content-security-policy': ({ headers }) => policyMark(headers['content-security-policy']),
  cookies: ({ cookies }) => {
    const marks = cookies.map(cookieMark)
    return marks.length === 0 ? 0 : Math.min(...marks)
  },
  'cross-origin-resource-sharing': ({ headers }) =>
    headers['access-control-allow-origin'] !== undefined && headers['access-control-allow-credentials'] === 'true'
      ? -50
      : 0,
  'referrer-policy': ({ headers }) => {
    const policy = headers['referrer-policy']
    if (policy === undefined) return 0
    return policy.split(',').every((one) => PRIVATE.includes(one.trim())) ? 5 : -5
  },
  'strict-transport-security': ({ headers }) => {
    const [, ageS] = /^max-age=(\d+)(;|$)/.exec(headers['strict-transport-security'] ?? '') ?? []
    if (ageS === undefined) return -20
    // On the list that browsers are delivered with it would be 5; a service does not speak for its whole domain.
    return Number(ageS) >= SIX_MONTHS_S ? 0 : -10
  },
  'subresource-integrity': ({ html }) => {
    const foreign = [...html.matchAll(/<script[^>]*\ssrc="([^"]*)"[^>]*>/g)].filter(([, src = '']) =>
      /^(https?:)?\/\//.test(src)
    )
    if (foreign.length === 0) return 0
    if (foreign.some(([, src = '']) => !src.startsWith('https:'))) return -50
    return foreign.every(([tag]) => tag.includes('integrity=')) ? 5 : -5
  },
  'x-content-type-options': ({ headers }) => (headers['x-content-type-options'] === 'nosniff' ? 0 : -5),
  'x-frame-options': ({ headers }) => {
    if (directivesOf(headers['content-security-policy'])?.has('frame-ancestors') === true) return 5
    return /^(deny|sameorigin)$/i.test(headers['x-frame-options'] ?? '') ? 0 : -20
  },
  'cross-origin-resource-policy': ({ headers }) => {
    const policy = headers['cross-origin-resource-policy'] ?? 'cross-origin'
    if (policy === 'cross-origin') return 0
    return ['same-origin', 'same-site'].includes(policy) ? 10 : -5
  }
} satisfies Record<string, (page: Page) => number>

export type Rule = keyof typeof RULES

/** What each rule gives or takes. */
export const marksOf = (page: Page): Record<Rule, number> =>
  Object.fromEntries(Object.entries(RULES).map(([rule, markOf]) => [rule, markOf(page)])) as Record<Rule, number>

/** From 100; what is given counts only where what is taken leaves an A. */
export function scoreOf(page: Page): number {
  const marks = Object.values(marksOf(page))
  const taken = marks.filter((mark) => mark < 0).reduce((sum, mark) => sum + mark, 100)
  const given = marks.filter((mark) => mark > 0).reduce((sum, mark) => sum + mark, 0)
  return Math.max(0, taken >= MOST_OF_A ? taken + given : taken)
}

function directivesOf(policy: string | undefined): Map<string, string[]> | undefined {
  if (policy === undefined) return undefined
  const parts = policy.split(';').map((part) => part.trim().split(/\s+/))
  return new Map(parts.map(([name = '', ...sources]) => [name.toLowerCase(), sources]))
}

function policyMark(policy: string | undefined): number {
  const directives = directivesOf(policy)
  if (directives === undefined) return -25
  const none = directives.get('default-src')
  const of = (name: string): string[] => directives.get(name) ?? none ?? ['*']
  const [script, style, object] = [of('script-src'), of('style-src'), of('object-src')]
  const passive = ['img-src', 'media-src'].flatMap((name) => directives.get(name) ?? none ?? [])
  const active = [...directives].flatMap(([name, sources]) => (/^(img|media)-src$/.test(name) ? [] : sources))
  const isInsecure = (source: string): boolean => /^(http|ftp):/.test(source)
  if (script.some((source) => [...BROAD, ...INLINE].includes(source))) return -20
  if (object.some((source) => BROAD.includes(source)) || active.some(isInsecure)) return -20
  if ([...script, ...style].includes("'unsafe-eval'") || passive.some(isInsecure)) return -10
  if (style.some((source) => [...BROAD, ...INLINE].includes(source))) return 0
  return none?.length === 1 && none[0] === "'none'" ? 10 : 5
}

/** The worst there is about one cookie; a name with `login` or `sess` is that of a session. */
function cookieMark(text: string): number {
  const [pair = '', ...rest] = text.split(';').map((part) => part.trim())
  const attributes = new Map(
    rest.map((part) => {
      const [name = '', value = ''] = part.toLowerCase().split('=')
      return [name, value]
    })
  )
  const isSession = /login|sess/i.test(pair.split('=', 1)[0] ?? '')
  const sameSite = attributes.get('samesite')
  if (!attributes.has('secure')) return isSession ? -40 : -20
  if (isSession && !attributes.has('httponly')) return -30
  if (sameSite === undefined) return 0
  return ['lax', 'strict', 'none'].includes(sameSite) ? 5 : -20
}
