// Stops with a sentence instead of a stack trace on a Node that is too old. Imported first, so it imports nothing.
// Kept to syntax that old versions can parse.
const found = process.versions.node.split('.').map(Number)
if (found[0] < 20 || (found[0] === 20 && found[1] < 19)) {
  console.error('Ullage needs Node.js 20.19 or newer; this is ' + process.versions.node + '.')
  process.exit(1)
}
