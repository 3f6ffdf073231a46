import { DISRUPTIONS } from '../disruption.ts'
import { DISRUPTION_LINES, DISRUPTION_WORDS } from './disruption.ts'

interface Line {
  /** Examples, told apart by commas. */
  say: string
  means: string
}

/** What can be said in the entry line, in any turn of its words. */
export const HELP: readonly Line[] = [
  { say: 'a1 72, alder 1 7.2, 7200 alder 1, alder one seven point two', means: 'a fuel call: 7,200' },
  {
    say: 'alder 1 5.2 internal, alder 1 7.2 total',
    means: 'what the figure covers, where it is not what the gauge shows'
  },
  { say: 'alder 1 5.2 internal externals full', means: 'or half, or empty: counted as a total' },
  { say: 'a1 j, alder 1 joined', means: 'it is with the tanker' },
  { say: 'a1 c, alder 1 contact auger left pod', means: 'in contact, at its station or at another' },
  { say: 'a1 f, alder 1 flowing', means: 'fuel flows' },
  {
    say: 'a1 d 45, alder 1 disconnect 4.5, alder 1 disconnect',
    means: 'off with that off-load, or with what has flowed by the clock; it asks where that is not what is planned'
  },
  {
    say: 'alder 1 disconnect took 4.5, alder 1 disconnect by the clock',
    means: 'the same, said so that nothing is asked; 9.6 aboard says what it has, where it is in contact'
  },
  { say: 'alder pushed, alder 1 pushed', means: 'a flight goes on, or one ship' },
  { say: 'alder 1 left, alder 1 left adze', means: 'leaves for its abort base, or for another' },
  { say: 'alder 1 landed already', means: 'down; already only where it is expected later' },
  {
    say: 'alder 1 held, alder 1 holding externals, alder 1 released, alder 1 externals off',
    means: 'its external tanks; holding alone may be waiting, and is asked back'
  },
  { say: 'alder 1 jettisoned', means: 'its external tanks are thrown off' },
  {
    say: 'alder 1 not giving, alder 1 wing tank 2 not taking, alder 1 wing tank well',
    means: 'what is wrong with a tank'
  },
  {
    say: 'alder 1 bingo 4.5, alder 1 bingo computed',
    means: 'a limit set higher by hand, or taken back; abort, joker, required'
  },
  { say: 'mallet 84.2, mallet 842', means: 'a tanker calls its fuel' },
  {
    say: 'a1 72 at 1428, a1 j 2 ago, a1 72 at 28',
    means: 'a call from another time: at, so long ago, minutes past the hour'
  }
]

/** What acts on the order and on the page. */
export const ACTS: readonly Line[] = [
  { say: 'alder 1 up, alder 1 down', means: 'earlier, later at its station' },
  { say: 'alder 1 to mallet boom', means: 'to another station' },
  { say: 'accept, refuse', means: 'take or drop the moved order' },
  { say: 'suggest, repair, anew', means: 'look for a better order, and compare it with the one in force' },
  { say: 'order', means: 'the order as a list that can be dragged, and back' },
  { say: 'print', means: 'print the order in force, a page for each tanker' },
  { say: 'alder 1 pin, alder 1 unpin, alder 1 serve anyway', means: 'keep its place; serve it even when late' },
  { say: 'log', means: 'what was recorded and by whom; an entry can be withdrawn there' },
  { say: 'lane 30, lane 60, lane 90', means: 'minutes shown in the time lane' },
  { say: 'open event, close event', means: 'the commander begins and ends the record' },
  { say: 'undo', means: 'withdraw your last entry' }
]

/** How the line reads. */
export const RULES: readonly string[] = [
  'Say it in any turn. Short is enough: first letters of a name, the number alone, two letters of a word.',
  'One letter does for joined, contact, flowing and disconnect; what is grave takes three: left, landed, jettisoned, gone, no-show, failed, a limit by hand.',
  'Two or three digits are hundreds, 72 is 7,200 and 105 is 10,500; a point is thousands; four digits are as they stand.',
  'Where thousands can be aboard as well, it asks; of a tanker what is near to its expected fuel is meant, 114 is 114,000.',
  'What could mean two things records nothing: Enter asks back, then a digit picks.'
]

export const KEYS: readonly Line[] = [
  { say: 'Enter', means: 'record what is understood, or ask back' },
  { say: '1 to 9; Up, Down and Enter', means: 'pick what is meant, once it is asked back' },
  { say: 'Ctrl Z', means: 'withdraw your last entry, while the line is empty' },
  { say: 'Up, Down', means: 'choose a ship while the line is empty' },
  { say: 'Alt Up, Alt Down', means: 'move it earlier or later' },
  { say: 'Alt Left, Alt Right', means: 'move it to the neighbour station' },
  { say: 'Alt Enter', means: 'accept the moved order' },
  { say: 'Alt P', means: 'pin or unpin the chosen ship' },
  { say: 'Alt Z', means: 'the chosen ship that left has landed' },
  { say: 'F2', means: 'look for a better order' },
  { say: 'F4', means: 'the order as a list, and back' },
  { say: 'F7', means: 'what was recorded, and by whom' },
  { say: 'F8', means: 'print the order in force' },
  { say: 'F9', means: 'take up what needs attention, the worst first, then the next' },
  { say: 'F10', means: 'ask the ship for fuel whose call tells most' },
  { say: 'Escape', means: 'drop the moved order, the line, the proposals, the choice' }
]

/** What comes otherwise than planned: what is said, its key, what it means. */
export const OTHERWISE: readonly { say: string; key: string; means: string }[] = DISRUPTION_LINES.map(
  ({ name, say }) => ({ say, key: `Alt ${DISRUPTIONS[name].letter}`, means: DISRUPTION_WORDS[name].means })
)
