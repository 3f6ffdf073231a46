import { STEP_MS } from '../../shared/order/judgement.ts'
import type { ServiceCurve } from '../../shared/order/curves.ts'
import type { OrderIn, Sequences, SlotIn, StationIn } from '../../shared/order/times.ts'
import { station } from '../shared/order/make.ts'

/*
 * Published sequencing problems read from their files and put as orders: constant service, no burn, a push group of its
 * own for each ship. One unit of time is a step of the judgement, so that figures come out exact.
 */

export interface Job {
  readonly weight: number
  /** Time units from 0; a contact does not begin before. */
  readonly releasedAt: number
  /** Undefined: it is never late. */
  readonly dueAt: number | undefined
  /** By machine. */
  readonly works: readonly number[]
}

/** What counts: weight x tardiness in sum, the number of jobs that are late at all, or the end of the last one. */
export type Aim = 'weighted tardiness' | 'late jobs' | 'last end'

export interface Instance {
  readonly name: string
  readonly aim: Aim
  readonly jobs: readonly Job[]
  readonly machines: number
  /** By machine, by job before, by job; a job before itself: before nobody. Undefined: no set-ups. */
  readonly setUps: readonly (readonly (readonly number[])[])[] | undefined
}

const numbersIn = (text: string): number[] => (text.match(/-?\d+(\.\d+)?/g) ?? []).map(Number)

/**
 * Single-machine weighted tardiness: for each instance n works, n weights, n due instants, one instance behind the other.
 * Source: OR-Library, J. E. Beasley, wtinfo.
 * @throws RangeError when the numbers are no multiple of 3 n.
 */
export function weightedTardiness(name: string, text: string, jobs: number): Instance[] {
  const all = numbersIn(text)
  const each = 3 * jobs
  if (!Number.isInteger(jobs) || jobs < 1 || all.length === 0 || all.length % each !== 0)
    throw new RangeError(`${name} has ${String(all.length)} numbers, not a multiple of 3 x ${String(jobs)} jobs`)
  const count = all.length / each
  return Array.from({ length: count }, (_, i) => {
    const at = (part: number, job: number): number => all[i * each + part * jobs + job] ?? NaN
    return {
      name: count === 1 ? name : `${name}-${String(i + 1)}`,
      aim: 'weighted tardiness',
      jobs: Array.from({ length: jobs }, (__, j) => ({
        works: [at(0, j)],
        weight: at(1, j),
        dueAt: at(2, j),
        releasedAt: 0
      })),
      machines: 1,
      setUps: undefined
    }
  })
}

/**
 * Unrelated machines with set-ups, R|s_ijk|Cmax: a line with the numbers of jobs and machines, a line of pairs "machine
 * work" for each job, the word SSD, then for each machine its name and a matrix of set-ups, job before by job.
 * Source: format of E. Vallada and R. Ruiz, European Journal of Operational Research 211, 2011 (from memory); the diagonal
 * is read as the set-up of the first job on a machine.
 * @throws RangeError when a part is missing.
 */
export function unrelatedMachines(name: string, text: string): Instance {
  const lines = text
    .split(/\r?\n/)
    .map((line) => line.trim())
    .filter((line) => line !== '')
  const [count = NaN, machines = NaN] = numbersIn(lines[0] ?? '')
  const middle = lines.findIndex((line) => /^SSD\b/i.test(line))
  if (!(count >= 1 && machines >= 1) || middle < count + 1)
    throw new RangeError(`${name} has no line of jobs and machines, or no ${String(count)} jobs before SSD`)
  const jobs = lines.slice(middle - count, middle).map((line): Job => {
    const pairs = numbersIn(line)
    const works = Array.from({ length: machines }, (_, k) => {
      const at = pairs.findIndex((value, i) => i % 2 === 0 && value === k)
      return pairs[at + 1] ?? NaN
    })
    if (pairs.length !== 2 * machines || works.some(Number.isNaN))
      throw new RangeError(`${name}: "${line}" is not ${String(machines)} pairs of machine and work`)
    return { works, weight: 1, releasedAt: 0, dueAt: undefined }
  })
  const rows = lines.slice(middle + 1).filter((line) => !/^[a-z]/i.test(line))
  const matrix = rows.map(numbersIn)
  if (matrix.length !== machines * count || matrix.some((row) => row.length !== count))
    throw new RangeError(`${name} has no ${String(machines)} matrices of ${String(count)} x ${String(count)} set-ups`)
  const setUps = Array.from({ length: machines }, (_, k) => matrix.slice(k * count, (k + 1) * count))
  return { name, aim: 'last end', jobs, machines, setUps }
}

const FAR_MS = 1e12

/** The instance as an order, all jobs on the first machine as given. */
export function orderOf({ aim, jobs, machines, setUps }: Instance): OrderIn<undefined> {
  const stations = Array.from({ length: machines }, (_, k): StationIn => {
    const changeoverMs: StationIn['changeoverMs'] = (from, to) =>
      (setUps?.[k]?.[Number(from?.id ?? to.id)]?.[Number(to.id)] ?? NaN) * STEP_MS
    return station(String(k), setUps === undefined ? {} : { changeoverMs })
  })
  const sequences: Sequences = new Map(stations.map(({ id }, k) => [id, k === 0 ? jobs.map((_, j) => String(j)) : []]))
  return {
    slots: jobs.map((job, j) => slotOf(job, String(j), aim)),
    stations,
    sequences,
    inForce: sequences,
    pushGroups: jobs.map(({ dueAt }, j) => ({
      id: String(j),
      plannedAtMs: dueAt === undefined || aim !== 'weighted tardiness' ? FAR_MS : dueAt * STEP_MS,
      reformMs: 0
    })),
    tankers: [{ id: 'tanker', leavesAtMs: FAR_MS, giveKg: () => Infinity }],
    nowMs: 0
  }
}

function slotOf({ works, weight, releasedAt, dueAt }: Job, id: string, aim: Aim): SlotIn<undefined> {
  const workMs = (at: string): number => (works[Number(at)] ?? NaN) * STEP_MS
  return {
    id,
    shipId: id,
    flightId: id,
    visitId: id,
    pushGroupId: id,
    weight,
    pinned: false,
    serveAnyway: false,
    afterSlotId: undefined,
    fixed: undefined,
    gone: false,
    requiredAtPushKg: 0,
    waitBurnKgPerS: 0,
    ready: () => ({ atMs: releasedAt * STEP_MS, state: undefined }),
    curve: (station): ServiceCurve => {
      const ends = [0, FAR_MS]
      return {
        contactAtMs: ends,
        disconnectAtMs: ends.map((ms) => ms + workMs(station.id)),
        onLoadKg: [0, 0],
        fuelAtContactKg: [0, 0],
        fuelAtDisconnectKg: [0, 0],
        // A job that could only be late is not done at all: so many are lost.
        latestContactAtMs: aim === 'late jobs' && dueAt !== undefined ? dueAt * STEP_MS - workMs(station.id) : undefined
      }
    },
    serve: (station, _, contactAtMs) => ({
      disconnectAtMs: contactAtMs + workMs(station.id),
      onLoadKg: 0,
      fuelAtContactKg: 0,
      fuelAtDisconnectKg: 0,
      state: undefined,
      endedBy: 'target',
      neededKg: 0
    })
  }
}

/** What sequences are worth, worked out from the instance alone. */
export function valueOf({ aim, jobs, setUps }: Instance, sequences: Sequences): number {
  let value = 0
  for (const [id, inTurn] of sequences) {
    const machine = Number(id)
    let at = 0
    let before: number | undefined
    for (const name of inTurn) {
      const j = Number(name)
      const job = jobs[j]
      if (job === undefined) throw new RangeError(`there is no job ${name}`)
      const work = job.works[machine] ?? NaN
      const end = Math.max(job.releasedAt, at + (setUps?.[machine]?.[before ?? j]?.[j] ?? 0)) + work
      const late = Math.max(0, end - (job.dueAt ?? Infinity))
      if (aim === 'late jobs' && late > 0) {
        value += job.weight
        continue
      }
      at = end
      before = j
      if (aim === 'last end') value = Math.max(value, end)
      if (aim === 'weighted tardiness') value += job.weight * late
    }
  }
  return value
}
