// A thread run from the sources: Node 20 reads no TypeScript by itself.
import { register } from 'tsx/esm/api'

register()
await import('./thread.ts')
