// The same job with nothing around it, as the measure of what the machine gives. With a folder it takes validated fuel
// calls, keeps those of one loop turn in one durable transaction, answers, and sends one buffer to all sockets; without
// one it only listens. Plain JavaScript, so that its start is that of node alone.
import Fastify from 'fastify'

const [folder] = process.argv.slice(2)
const app = Fastify({ logger: false })
app.get('/health', () => ({ status: 'ok' }))
if (folder !== undefined) await takeCalls(folder)
await app.listen({ port: 0, host: '127.0.0.1' })
console.log(`listening on http://127.0.0.1:${app.server.address().port}`)
process.once('SIGTERM', () => process.exit(0))

async function takeCalls(dataDir) {
  const { default: Database } = await import('better-sqlite3')
  const { WebSocketServer } = await import('ws')
  const database = new Database(`${dataDir}/ullage.sqlite`)
  database.pragma('journal_mode = WAL')
  database.pragma('synchronous = FULL')
  database.exec('CREATE TABLE facts (seq INTEGER PRIMARY KEY, body TEXT NOT NULL) STRICT')
  const insert = database.prepare('INSERT INTO facts (seq, body) VALUES (?, ?)')
  const keep = database.transaction((calls) => {
    for (const { seq, text } of calls) insert.run(seq, text)
  })

  const sockets = new Set()
  const server = new WebSocketServer({ noServer: true, perMessageDeflate: false })
  app.server.on('upgrade', (request, socket, head) => {
    server.handleUpgrade(request, socket, head, (board) => {
      sockets.add(board)
      board.on('close', () => sockets.delete(board))
    })
  })

  let seq = 0
  let waiting = []
  const commit = () => {
    const calls = waiting
    waiting = []
    keep(calls)
    for (const { answer, text, seq: own } of calls) answer(`{"from":${own},"to":${own},"facts":[${text}]}`)
    const texts = calls.map(({ text }) => text).join(',')
    const frame = Buffer.from(`{"kind":"facts","from":${calls[0].seq},"to":${calls.at(-1).seq},"facts":[${texts}]}`)
    setImmediate(() => {
      for (const board of sockets) board.send(frame, { binary: false })
    })
  }
  const id = { type: 'string', minLength: 1, maxLength: 64 }
  const fuel = {
    type: 'object',
    additionalProperties: false,
    required: ['value', 'unit'],
    properties: { value: { type: 'number', minimum: 0 }, unit: { enum: ['kg', 'lb'] } }
  }
  const body = {
    type: 'object',
    additionalProperties: false,
    required: ['requestId', 'kind', 'shipId', 'fuel', 'covers'],
    properties: {
      requestId: id,
      kind: { const: 'callFuel' },
      atMs: { type: 'integer' },
      shipId: id,
      fuel,
      covers: { enum: ['total', 'internal'] }
    }
  }
  app.post('/facts', { schema: { body } }, (request, reply) => {
    seq += 1
    const text = JSON.stringify({ ...request.body, seq, recordedAtMs: Date.now() })
    if (waiting.length === 0) setImmediate(commit)
    return new Promise((resolve) => {
      waiting.push({ seq, text, answer: resolve })
    }).then((answer) => reply.header('content-type', 'application/json').send(answer))
  })
}
