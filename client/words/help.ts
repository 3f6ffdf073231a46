import { DISRUPTIONS } from '../disruption.ts'
import { DISRUPTION_LINES, DISRUPTION_WORDS } from './disruption.ts'

/** What can be said in the entry line, and the keys that say the same. */
export const HELP: readonly { say: string; means: string }[] = [
  { say: 'alder 21 6.4', means: 'a fuel call: six thousand four hundred' },
  { say: 'alder 21 5.2 internal', means: 'a fuel call of the internal tanks alone' },
  { say: 'alder 21 joined', means: 'it is with the tanker' },
  { say: 'alder 21 contact', means: 'in contact at its station; a station may follow' },
  { say: 'alder 21 flowing', means: 'fuel flows' },
  { say: 'alder 21 disconnect 4.5', means: 'off with that off-load; without a figure with the planned one' },
  { say: 'alder 21 pushed, alder 2 pushed', means: 'a ship, or its flight, goes on' },
  { say: 'alder 21 left, alder 21 left north', means: 'leaves for its abort base, or for another' },
  { say: 'alder 21 landed', means: 'down' },
  { say: 'alder 21 held, selected, externals off', means: 'its external tanks' },
  { say: 'alder 21 jettisoned', means: 'its external tanks are thrown off' },
  { say: 'alder 21 wing tank 2 not giving, not taking, gone, well', means: 'what is wrong with a tank' },
  {
    say: 'alder 21 bingo 4.5, abort, joker, required; bingo computed',
    means: 'a limit set higher by hand, or taken back'
  },
  { say: 'kelp 84.2', means: 'a tanker calls its fuel' },
  { say: 'alder 21 up, down', means: 'earlier, later at its station' },
  { say: 'alder 21 to kelp port', means: 'to another station' },
  { say: 'accept, refuse', means: 'take or drop the moved order' },
  { say: 'suggest, repair, anew', means: 'look for a better order, and compare it with the one in force' },
  { say: 'order', means: 'the order as a list that can be dragged, and back' },
  { say: 'print', means: 'print the order in force, a page for each tanker' },
  { say: 'alder 21 pin, unpin, serve anyway', means: 'keep its place; serve it even when late' },
  { say: 'lane 30, 60, 90', means: 'minutes shown in the time lane' },
  { say: 'open event, close event', means: 'the commander begins and ends the record' },
  { say: 'undo', means: 'withdraw your last entry' }
]

export const KEYS: readonly { say: string; means: string }[] = [
  { say: 'Up, Down', means: 'choose a ship while the line is empty' },
  { say: 'Alt Up, Alt Down', means: 'move it earlier or later' },
  { say: 'Alt Left, Alt Right', means: 'move it to the neighbour station' },
  { say: 'Alt Enter', means: 'accept the moved order' },
  { say: 'Alt P', means: 'pin or unpin the chosen ship' },
  { say: 'Alt Z', means: 'the chosen ship that left has landed' },
  { say: 'F2', means: 'look for a better order' },
  { say: 'F4', means: 'the order as a list, and back' },
  { say: 'F8', means: 'print the order in force' },
  { say: 'F9', means: 'take up what needs attention, the worst first, then the next' },
  { say: 'Escape', means: 'drop the moved order, the line, the proposals, the choice' }
]

/** What comes otherwise than planned: what is said, its key, what it means. */
export const OTHERWISE: readonly { say: string; key: string; means: string }[] = DISRUPTION_LINES.map(
  ({ name, say }) => ({ say, key: `Alt ${DISRUPTIONS[name].letter}`, means: DISRUPTION_WORDS[name].means })
)
