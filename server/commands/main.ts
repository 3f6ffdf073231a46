/** What is done to the data from outside the service: `npm run backup -- FILE` and the others of COMMANDS. */
import { ConfigFaults, readConfig } from '../config.ts'
import { COMMANDS } from './commands.ts'

const [name = '', ...args] = process.argv.slice(2)
try {
  console.log(await run())
} catch (error) {
  const reason = error instanceof Error ? error.message : String(error)
  const lines = error instanceof ConfigFaults ? ['the settings cannot be used:', ...error.lines] : [reason]
  console.error(`Nothing was done: ${lines.join('\n  ')}`)
  process.exitCode = 1
}

function run(): Promise<string> {
  const command = COMMANDS[name]
  if (command === undefined)
    throw new Error(`there is no command ${name}; there are ${Object.keys(COMMANDS).join(', ')}`)
  if (args.length !== command.takes.length || args.includes('')) {
    throw new Error(`use it as npm run ${name} -- ${command.takes.join(' ')}`)
  }
  return command.does(readConfig(), ...args)
}
