import { createHash } from 'node:crypto'
import vue from '@vitejs/plugin-vue'
import { defineConfig, type Plugin } from 'vite'

const server = 'http://127.0.0.1:8080'

/** Puts into the first page what it was built from: it names every part by its content. */
const build: Plugin = {
  name: 'build',
  apply: 'build',
  transformIndexHtml: {
    order: 'post',
    handler: (page) => {
      const content = createHash('sha256').update(page).digest('hex').slice(0, 8)
      return [{ tag: 'meta', attrs: { name: 'build', content }, injectTo: 'head' }]
    }
  }
}

export default defineConfig({
  root: 'client',
  plugins: [vue(), build],
  // Every part is written with <script setup>.
  define: { __VUE_OPTIONS_API__: 'false' },
  build: {
    outDir: '../dist/client',
    emptyOutDir: true,
    sourcemap: true,
    rolldownOptions: {
      output: {
        codeSplitting: {
          // What folds facts comes with the first load, what works pictures out of them after it: left to itself the
          // bundler puts pieces of both into one file.
          includeDependenciesRecursively: false,
          groups: [
            {
              name: 'fold',
              test: /shared\/(live\/(clock|state|standing|reduce|receivers)|order\/judgement|units)\.ts$/
            }
          ]
        }
      }
    }
  },
  worker: { format: 'es' },
  server: {
    host: '127.0.0.1',
    proxy: { '/api': { target: server, ws: true } }
  }
})
