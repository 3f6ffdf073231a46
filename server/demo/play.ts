/** Plays the demonstration against a running service: `node dist/server/demo/play.js LINK`, a coordinator's or commander's. */
import { onKey } from './key.ts'
import { play } from './player.ts'

const link = process.argv[2] ?? ''
if (!URL.canParse(link) || new URL(link).hash.length < 2) {
  console.error('Name the link of a coordinator or commander, as the service printed it: http://…/join#…')
  process.exit(1)
}
const { origin, hash } = new URL(link)
const stopping = new AbortController()
const deaf = onKey('s', () => {
  stopping.abort()
})
for (const signal of ['SIGINT', 'SIGTERM'] as const) {
  process.once(signal, () => {
    stopping.abort()
  })
}
console.log('Playing; the key s stops it.')
try {
  console.log(`No longer playing: ${await play({ address: origin, secret: hash.slice(1), signal: stopping.signal })}.`)
} catch (error) {
  console.error(error instanceof Error ? error.message : error)
  process.exitCode = 1
} finally {
  deaf()
}
