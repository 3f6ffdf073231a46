import { describe, expect, it } from 'vitest'
import { isOutdated } from '../../client/build.ts'

describe('a page', () => {
  const pageOf = (head: string) => new DOMParser().parseFromString(`<head>${head}</head>`, 'text/html')
  const page = pageOf('<meta name="build" content="12ab34cd">')

  it('is outdated from the first word of a service that has another one, and not before one of its own', () => {
    expect(isOutdated('0.1.0+12ab34cd', page)).toBe(false)
    expect(isOutdated('0.1.0+99ab34cd', page)).toBe(true)
  })

  it('cannot tell where it or the service was not built', () => {
    expect(isOutdated('0.1.0+12ab34cd', pageOf(''))).toBe(false)
    expect(isOutdated('0.1.0', page)).toBe(false)
  })
})
