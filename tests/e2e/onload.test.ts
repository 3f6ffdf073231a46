import type { Browser, Page } from 'playwright-core'
import { describe, expect, it, onTestFinished } from 'vitest'
import { fuelText, spanText } from '../../client/figures.ts'
import { answerSentence } from '../../client/words/onload.ts'
import type { OnLoadAnswer } from '../../shared/contracts/answers.ts'
import type { MassUnit } from '../../shared/contracts/kinds.ts'
import { RECEIVERS } from '../../shared/library/receivers.ts'
import { sharedBrowser } from '../browser.ts'
import { DESKTOP, PHONE, sharedService, type Size } from './event.ts'
import { barriers } from './screen.ts'

/* The one on-load: open to anyone, the same figures as the route gives, by keyboard alone, on one sheet of paper. */

const service = async (): Promise<string> => (await sharedService()).address

async function open(browser: Browser, address: string, size: Size): Promise<Page> {
  const context = await browser.newContext({ locale: 'en-GB', viewport: size, reducedMotion: 'reduce' })
  onTestFinished(() => context.close())
  const page = await context.newPage()
  await page.goto(address)
  await settled(page)
  return page
}

/** What stands on the page is the answer to what stands in its fields. */
const settled = (page: Page) => page.locator('main[aria-busy="false"]').waitFor()
async function sentenceOf(page: Page): Promise<string> {
  await settled(page)
  return page.locator('[data-sentence]').innerText()
}
async function curveOf(page: Page): Promise<string | null> {
  await settled(page)
  // A picture learns the width it has in the frame after it was first drawn.
  await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))))
  return page.locator('[data-curve="flown"]').getAttribute('d')
}

const lb = (value: number) => ({ value, unit: 'lb' })
const lbPerH = (value: number) => ({ value, unit: 'lb/h' })
const sheet = (id: string) => RECEIVERS.find((one) => one.id === id)
const abort = (distanceNm: number, speedKt: number, landingReserve: unknown) => ({
  distance: { value: distanceNm, unit: 'NM' },
  groundSpeed: { value: speedKt, unit: 'kt' },
  landingReserve
})
const JP8 = { value: 6.7, unit: 'lb/USgal' }

/** The same question as an address and as the route is asked it, both written by hand. */
const QUESTIONS: [id: string, search: string, unit: MassUnit, body: unknown][] = [
  [
    'larch',
    '?type=larch&fitted=larch-wing-tank&unit=lb&fuel=9800&externals=selected&minutes1=40&flow1=5100&minutes2=3.5' +
      '&flow2=5000&rate=3300&rule=full&distance=120&speed=400&reserve=minutes&reserveFigure=15&late=5',
    'lb',
    {
      receiverType: sheet('larch'),
      fuelDensity: JP8,
      fitted: ['larch-wing-tank'],
      fuelNow: lb(9800),
      externals: 'selected',
      ahead: [
        { durationMin: 40, flow: lbPerH(5100) },
        { durationMin: 3.5, flow: lbPerH(5000) }
      ],
      stationRate: { value: 3300, unit: 'lb/min' },
      onLoad: { kind: 'full' },
      abort: abort(120, 400, { kind: 'minutes', holdingMin: 15 }),
      lateMarginMin: 5
    }
  ],
  [
    'nettle',
    '?type=nettle&fitted=nettle-wing-tank&unit=kg&grade=JP-5&fuel=3600&minutes1=25&flow1=2150&rate=700&rule=internals' +
      '&distance=80&speed=370&reserve=fixed&reserveFigure=500&byHand=1300&window=20&give=6000',
    'kg',
    {
      receiverType: sheet('nettle'),
      fuelDensity: { value: 6.8, unit: 'lb/USgal' },
      fitted: ['nettle-wing-tank'],
      fuelNow: { value: 3600, unit: 'kg' },
      externals: 'selected',
      ahead: [{ durationMin: 25, flow: { value: 2150, unit: 'kg/h' } }],
      stationRate: { value: 700, unit: 'kg/min' },
      onLoad: { kind: 'internals' },
      abort: {
        ...abort(80, 370, { kind: 'fixed', fuel: { value: 500, unit: 'kg' } }),
        byHand: { value: 1300, unit: 'kg' }
      },
      windowMin: 20,
      give: { value: 6000, unit: 'kg' }
    }
  ],
  [
    'osier',
    '?type=osier&fitted=osier-centre-tank&fuel=5,600&externals=held&minutes2=12&flow2=3600&rate=900' +
      '&rule=fuelAtDisconnect&asked=5400&distance=60&speed=380&reserveFigure=10',
    'lb',
    {
      receiverType: sheet('osier'),
      fuelDensity: JP8,
      fitted: ['osier-centre-tank'],
      fuelNow: lb(5600),
      externals: 'held',
      ahead: [{ durationMin: 12, flow: lbPerH(3600) }],
      stationRate: { value: 900, unit: 'lb/min' },
      onLoad: { kind: 'fuelAtDisconnect', fuel: lb(5400) },
      abort: abort(60, 380, { kind: 'minutes', holdingMin: 10 })
    }
  ]
]

/** What the page must show of an answer, by the names of its figures. */
function figuresOf({ limits, hold, dumpS, ...answer }: OnLoadAnswer, unit: MassUnit): Record<string, string> {
  const inHand = (kg: number) => fuelText(kg, unit, 'down')
  const slackS = limits?.slackS ?? 0
  return {
    abort: fuelText(limits?.abortKg ?? NaN, unit, 'up'),
    'latest-contact': spanText(limits?.latestContactAtS ?? NaN),
    slack: slackS < 0 ? spanText(-slackS, 'up') : spanText(slackS),
    'fuel-at-contact': inHand(answer.fuelAtContactKg),
    'gauge-at-contact': inHand(answer.gaugeAtContactKg),
    'fuel-at-disconnect': inHand(answer.fuelAtDisconnectKg),
    'gauge-at-disconnect': inHand(answer.gaugeAtDisconnectKg),
    dump: dumpS === null ? 'it cannot dump' : spanText(dumpS, 'up'),
    ...(hold.kind === 'hold'
      ? {
          'hold-from': spanText(hold.fromS),
          ...(hold.releaseAtS === null ? {} : { 'release-at': spanText(hold.releaseAtS) }),
          'held-minutes': spanText(hold.held.minutesMin * 60, 'up'),
          'held-on-load': fuelText(hold.held.onLoadKg, unit, 'up')
        }
      : {})
  }
}

describe('the one on-load', () => {
  const browser = sharedBrowser()
  it.each(QUESTIONS)('shows of %s what the route answers', async (_, search, unit, body) => {
    const address = await service()
    const response = await fetch(`${address}/api/v1/compute/onload`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(body)
    })
    expect(response.status).toBe(200)
    const answer = (await response.json()) as OnLoadAnswer
    const page = await open(await browser, `${address}/onload${search}`, DESKTOP)
    expect(await sentenceOf(page)).toBe(answerSentence(answer, unit))
    const shown = await page
      .locator('[data-figure]')
      .evaluateAll((all) => all.map((one): [string, string] => [one.dataset['figure'] ?? '', one.textContent.trim()]))
    expect(Object.fromEntries(shown)).toEqual(figuresOf(answer, unit))
    const rows = await page
      .locator('.stops tbody tr')
      .evaluateAll((all) => all.map((row) => [...row.querySelectorAll('td')].map((cell) => cell.textContent.trim())))
    expect(rows.map(([at, , onLoad, saves]) => [at, onLoad, saves])).toEqual(
      answer.stops.map((stop) => [spanText(stop.atS, 'up'), fuelText(stop.onLoadKg, unit, 'up'), spanText(stop.savesS)])
    )
    expect(rows.length).toBeGreaterThan(0)
  })

  it('follows the fuel as it is typed, and keeps the question over a reload', async () => {
    const address = await service()
    const page = await open(await browser, `${address}/onload`, DESKTOP)
    const [sentence, curve] = [await sentenceOf(page), await curveOf(page)]
    await page.fill('#on-load-fuel', '9,000')
    const [after, curveAfter] = [await sentenceOf(page), await curveOf(page)]
    expect(after).not.toBe(sentence)
    expect(curveAfter).not.toBe(curve)
    await page.waitForURL(/fuel=9%2C000/)
    await page.reload()
    await page.locator('[data-sentence]').waitFor()
    expect([await page.inputValue('#on-load-fuel'), await sentenceOf(page), await curveOf(page)]).toEqual([
      '9,000',
      after,
      curveAfter
    ])
    // Nobody signed in, and nothing was asked of the service.
    expect(await page.context().cookies()).toEqual([])
  })

  it('shows a refusal and nothing else, and the answer again when it is mended', async () => {
    const page = await open(await browser, `${await service()}/onload`, DESKTOP)
    const sentence = await sentenceOf(page)
    await page.fill('#on-load-fuel', '30000')
    const row = page.locator('[data-path="/fuelNow/value"]')
    await row.waitFor()
    expect(await row.innerText()).toMatch(/Fuel now, lb\s+30000\s+at most [\d.]+ kg, what its tanks hold/)
    expect(await page.locator('[data-sentence], [data-figure], [data-curve], .stops').count()).toBe(0)
    await page.fill('#on-load-fuel', '9800')
    expect(await sentenceOf(page)).toBe(sentence)
  })

  it('is reached from the first page and filled by keys alone', async () => {
    const address = await service()
    const context = await (await browser).newContext({ locale: 'en-GB', viewport: DESKTOP })
    onTestFinished(() => context.close())
    const page = await context.newPage()
    await page.goto(address)
    await page.getByRole('link', { name: 'One on-load' }).waitFor()
    await page.keyboard.press('Tab')
    await page.keyboard.press('Enter')
    await page.locator('[data-sentence]').waitFor()
    const focused = () => page.evaluate(() => document.activeElement?.id ?? '')
    const until = async (reached: () => Promise<boolean>) => {
      for (let keys = 0; keys < 60; keys++) {
        if (await reached()) return
        await page.keyboard.press('Tab')
      }
      throw new Error(`not reached by 60 tabs; at ${await focused()}`)
    }
    const before = await sentenceOf(page)
    await until(async () => (await focused()) === 'on-load-fuel')
    // A field entered by Tab is selected whole: typing replaces it.
    await page.keyboard.type('9300')
    expect(await page.inputValue('#on-load-fuel')).toBe('9300')
    expect(await sentenceOf(page)).not.toBe(before)
    await until(async () => (await focused()) === 'on-load-rule')
    await page.keyboard.type('so much')
    expect(await page.inputValue('#on-load-rule')).toBe('fixed')
    await until(async () => (await focused()) === 'on-load-asked')
    await page.keyboard.type('3000')
    expect(await sentenceOf(page)).toMatch(/^3,000 lb in /)
    const label = () => page.evaluate(() => document.activeElement?.getAttribute('aria-label') ?? '')
    await until(async () => /^disconnect \d\d:\d\d, 3,000 lb$/.test(await label()))
    await until(async () => /knee: \d\d:\d\d, [\d,]+ lb$/.test(await label()))
    await until(() => page.evaluate(() => document.activeElement?.tagName === 'SUMMARY'))
    await page.keyboard.press('Enter')
    await page.locator('details[open] table').waitFor()
  })

  it('fits a phone without scrolling sideways, the sentence in sight while one types', async () => {
    const page = await open(await browser, `${await service()}/onload`, PHONE)
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBe(PHONE.width)
    await page.locator('#on-load-fuel').focus()
    const box = await page.locator('[data-sentence]').boundingBox()
    expect((box?.y ?? Infinity) + (box?.height ?? Infinity)).toBeLessThanOrEqual(PHONE.height)
  })

  it.each(QUESTIONS)('prints %s on one page', async (_, search) => {
    const page = await open(await browser, `${await service()}/onload${search}`, DESKTOP)
    const pdf = (await page.pdf({ format: 'A4' })).toString('latin1')
    expect([...pdf.matchAll(/\/Type \/Page\b/g)]).toHaveLength(1)
  })

  it.each([
    ['desktop', DESKTOP],
    ['phone', PHONE]
  ] as const)(
    'is free of barriers that a machine can find, light and dark, on a %s',
    async (name, size) => {
      const page = await open(await browser, `${await service()}/onload`, size)
      const check = async (state: string) => {
        await settled(page)
        expect(await barriers(page, `${state}-${name}`)).toEqual([])
      }
      await page.locator('summary').click()
      await check('onload')
      await page.fill('#on-load-fuel', '5500')
      await page.locator('[data-trouble]').first().waitFor()
      await check('onload-troubled')
      await page.fill('#on-load-fuel', '3000')
      await page.locator('[data-sentence]').waitFor({ state: 'detached' })
      await check('onload-starved')
      await page.fill('#on-load-rate', '0')
      await page.locator('[data-path]').waitFor()
      await check('onload-refused')
    },
    120_000
  )
})
