import { mount } from '@vue/test-utils'
import { describe, expect, it } from 'vitest'
import ClockForm from '../../client/parts/ClockForm.vue'
import { clockWords, timeNearMs } from '../../client/words/clock.ts'
import { NOW_MS } from './fixture.ts'

const clock = (offMs: number, rateFactor = 1) => ({ realAtMs: NOW_MS, eventAtMs: NOW_MS + offMs, rateFactor })

describe('the clock of an event in words', () => {
  it.each([
    [clock(0), ''],
    [clock(1_400), ''],
    [clock(-20_000), 'exercise clock, under a minute behind'],
    [clock(7_800_000), 'exercise clock, 2 h 10 min ahead'],
    [clock(-90_000_000), 'exercise clock, 1 d 1 h behind'],
    [clock(0, 0), 'exercise clock, paused'],
    [clock(5_000, 4), 'exercise clock, 4 times as fast']
  ])('%o: %s', (given, words) => {
    expect(clockWords(given, NOW_MS)).toBe(words)
  })
})

describe('a time typed for it', () => {
  it.each([
    ['14:30', Date.UTC(2031, 4, 17, 14, 30)],
    ['1430Z', Date.UTC(2031, 4, 17, 14, 30)],
    ['12:00:00', NOW_MS],
    // A minute that runs, or has just run, is of today; the far side of the night is named by its day.
    ['11:59', Date.UTC(2031, 4, 17, 11, 59)],
    ['9:05:30', Date.UTC(2031, 4, 17, 9, 5, 30)],
    ['23:59', Date.UTC(2031, 4, 17, 23, 59)],
    ['180905', Date.UTC(2031, 4, 18, 9, 5)],
    ['18 0905Z', Date.UTC(2031, 4, 18, 9, 5)],
    ['021130', Date.UTC(2031, 4, 2, 11, 30)],
    ['24:00', undefined],
    ['noon', undefined]
  ])('%s is the nearest there is', (text, atMs) => {
    expect(timeNearMs(text, NOW_MS)).toBe(atMs)
  })

  it('may lie beyond midnight', () => {
    const lateMs = Date.UTC(2031, 4, 17, 23, 50)
    expect(timeNearMs('0010', lateMs)).toBe(Date.UTC(2031, 4, 18, 0, 10))
    expect(timeNearMs('2340', lateMs + 1_200_000)).toBe(Date.UTC(2031, 4, 17, 23, 40))
  })
})

describe('the form of the clock', () => {
  const form = (over = {}) =>
    mount(ClockForm, { props: { nowMs: NOW_MS, opensAtMs: NOW_MS + 3_600_000, isOpen: true, ...over } })

  it('pauses it where it stands, and sets it ahead at another pace', async () => {
    const clockForm = form()
    await clockForm.find('select').setValue('0')
    await clockForm.find('form').trigger('submit')
    expect(clockForm.emitted('set')?.[0]?.[0]).toEqual({ kind: 'setClock', rateFactor: 0 })
    await clockForm.find('select').setValue('4')
    await clockForm.find('input').setValue('12:30')
    await clockForm.find('form').trigger('submit')
    const [request, sentence] = clockForm.emitted('set')?.[1] ?? []
    expect(request).toEqual({ kind: 'setClock', eventAtMs: NOW_MS + 1_800_000, rateFactor: 4 })
    expect(sentence).toContain('12:30:00Z, at 4 times')
  })

  it('goes back for no typed minute, says what it will do, and asks once more before a jump that nothing takes back', async () => {
    const clockForm = form()
    const says = () => clockForm.find('[data-clock-says]').text()
    const submit = () => clockForm.find('form').trigger('submit')
    await clockForm.find('input').setValue('11:59')
    expect(clockForm.find('button[type="submit"]').attributes('disabled')).toBeDefined()
    expect(says()).toContain('11:59 is behind the clock')
    await submit()
    expect(clockForm.emitted('set')).toBeUndefined()
    await clockForm.find('input').setValue('12:20')
    expect(says()).toBe('Goes 20 min ahead, to 2031-05-17 12:20:00Z.')
    await submit()
    expect(clockForm.emitted('set')?.[0]?.[0]).toMatchObject({ eventAtMs: NOW_MS + 1_200_000 })
    await clockForm.find('input').setValue('181159')
    expect(says()).toBe(
      'Goes 23 h 59 min ahead, to 2031-05-18 11:59:00Z. Every ship burns on to then, and it cannot be taken back.'
    )
    await submit()
    expect(clockForm.emitted('set')).toHaveLength(1)
    expect(clockForm.find('button[type="submit"]').text()).toBe('Set it all the same')
    await submit()
    expect(clockForm.emitted('set')?.[1]?.[0]).toMatchObject({ eventAtMs: NOW_MS + 86_340_000 })
  })

  it('takes no time that is none, and offers the opening only before the event is open', async () => {
    const open = form()
    await open.find('input').setValue('25:00')
    expect(open.find('button[type="submit"]').attributes('disabled')).toBeDefined()
    expect(open.findAll('button')).toHaveLength(1)
    const before = form({ isOpen: false })
    await before.findAll('button')[1]?.trigger('click')
    expect(before.emitted('set')?.[0]?.[0]).toMatchObject({ eventAtMs: NOW_MS + 3_600_000 })
  })
})
