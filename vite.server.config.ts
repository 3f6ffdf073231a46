import { defineConfig } from 'vite'

/*
 * The service and all it imports as one file: half of the time that its start took was the finding and reading of some
 * hundred small ones. The database driver has a compiled part and stays where it is; so do the files of the threads.
 */
export default defineConfig({
  ssr: { noExternal: true, external: ['better-sqlite3'] },
  build: {
    ssr: 'server/main.ts',
    target: 'node20',
    minify: false,
    outDir: 'dist/server/whole',
    rolldownOptions: { output: { entryFileNames: 'main.js' } }
  }
})
