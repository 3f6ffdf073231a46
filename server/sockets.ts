import { SOCKETS } from '../shared/contracts/bounds.ts'
import { Problem } from './problem.ts'

/** When a socket that was refused is worth trying again: others may have closed theirs by then. */
const RETRY_S = 5

export interface MostSockets {
  readonly perLink: number
  readonly perAddress: number
}

/**
 * The live sockets that are open, counted under the link and from the address they came by. One address may hold fewer
 * than one link, so that whoever shares a link cannot take it from all the others.
 */
export class Sockets {
  readonly #most: MostSockets
  readonly #byLink = new Map<string, number>()
  readonly #byAddress = new Map<string, number>()

  constructor(most: MostSockets = SOCKETS) {
    this.#most = most
  }

  /**
   * Counts one more; gives what is to be called once when it has closed.
   * @throws Problem `too-many-sockets`
   */
  open(linkId: string, address: string): () => void {
    this.#check(this.#byLink.get(linkId), this.#most.perLink, 'under this link')
    this.#check(this.#byAddress.get(address), this.#most.perAddress, 'from this address')
    add(this.#byLink, linkId, 1)
    add(this.#byAddress, address, 1)
    return () => {
      add(this.#byLink, linkId, -1)
      add(this.#byAddress, address, -1)
    }
  }

  /** Links and addresses with an open socket. */
  get size(): number {
    return this.#byLink.size + this.#byAddress.size
  }

  #check(open: number | undefined, most: number, where: string): void {
    if (open === undefined || open < most) return
    throw new Problem('too-many-sockets', { detail: `${String(most)} sockets are open ${where}, the most.` }, RETRY_S)
  }
}

/** Nobody who has none is remembered. */
function add(counts: Map<string, number>, key: string, change: 1 | -1): void {
  const count = (counts.get(key) ?? 0) + change
  if (count > 0) counts.set(key, count)
  else counts.delete(key)
}
