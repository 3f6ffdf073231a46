import { mount } from '@vue/test-utils'
import { describe, expect, it } from 'vitest'
import ClockForm from '../../client/parts/ClockForm.vue'
import { clockWords, nextTimeMs } from '../../client/words/clock.ts'
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
    ['11:59', Date.UTC(2031, 4, 18, 11, 59)],
    ['9:05:30', Date.UTC(2031, 4, 18, 9, 5, 30)],
    ['24:00', undefined],
    ['noon', undefined]
  ])('%s is the next there is', (text, atMs) => {
    expect(nextTimeMs(text, NOW_MS)).toBe(atMs)
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
