/** The dark modules of a code as one path, a stroke of them at a time. */
export function pathOfModules(modules: readonly (readonly boolean[])[]): string {
  let path = ''
  modules.forEach((row, y) => {
    for (let x = 0; x < row.length; x++) {
      if (!row[x]) continue
      const from = x
      while (row[x + 1]) x++
      path += `M${from} ${y}h${x - from + 1}v1h${from - x - 1}z`
    }
  })
  return path
}
