import { once } from 'node:events'
import { connect, type Socket } from 'node:net'

export interface Answer {
  status: number
  body: string
}

/**
 * One HTTP connection, one request at a time, with no more of HTTP than the bench needs: the caller must not be what is
 * measured.
 */
export class Line {
  readonly #socket: Socket
  readonly #port: number
  #received = ''
  #answer: { resolve: (answer: Answer) => void; reject: (error: Error) => void } | undefined

  private constructor(socket: Socket, port: number) {
    this.#socket = socket
    this.#port = port
    socket.setNoDelay(true)
    socket.setEncoding('latin1')
    socket.on('data', (chunk) => {
      this.#received += String(chunk)
      this.#read()
    })
    socket.on('error', (error) => this.#answer?.reject(error))
    socket.on('close', () => this.#answer?.reject(new Error('the connection was closed')))
  }

  static async to(port: number): Promise<Line> {
    const socket = connect({ port, host: '127.0.0.1' })
    await once(socket, 'connect')
    return new Line(socket, port)
  }

  ask(
    method: 'GET' | 'POST' | 'DELETE',
    path: string,
    body = '',
    headers: Readonly<Record<string, string>> = {}
  ): Promise<Answer> {
    const lines = [
      `${method} ${path} HTTP/1.1`,
      `host: 127.0.0.1:${String(this.#port)}`,
      ...Object.entries(headers).map(([name, value]) => `${name}: ${value}`),
      ...(body === '' ? [] : ['content-type: application/json', `content-length: ${String(Buffer.byteLength(body))}`])
    ]
    // One that has been closed since the last answer would never say so again.
    if (this.#socket.destroyed) return Promise.reject(new Error('the connection was closed'))
    return new Promise((resolve, reject) => {
      // A service closes what is idle for long: nothing more would be heard on it.
      if (this.#socket.destroyed) {
        reject(new Error('the connection was closed'))
        return
      }
      this.#answer = { resolve, reject }
      this.#socket.write(`${lines.join('\r\n')}\r\n\r\n${body}`)
    })
  }

  close(): void {
    this.#socket.destroy()
  }

  #read(): void {
    const end = this.#received.indexOf('\r\n\r\n')
    if (end === -1) return
    const head = this.#received.slice(0, end).toLowerCase()
    const isEmpty = head.startsWith('http/1.1 204')
    const length = isEmpty ? 0 : Number(/content-length: (\d+)/.exec(head)?.[1] ?? NaN)
    if (Number.isNaN(length)) {
      this.#answer?.reject(new Error(`an answer without its length: ${head}`))
      return
    }
    if (this.#received.length < end + 4 + length) return
    const body = this.#received.slice(end + 4, end + 4 + length)
    this.#received = this.#received.slice(end + 4 + length)
    const answer = this.#answer
    this.#answer = undefined
    answer?.resolve({ status: Number(head.slice(9, 12)), body })
  }
}

/** The JSON of an answer that must be a good one. */
export function jsonOf({ status, body }: Answer): unknown {
  if (status < 200 || status > 299) throw new Error(`answered with ${String(status)}: ${body}`)
  return JSON.parse(body)
}
