import vue from '@vitejs/plugin-vue'
import { defineConfig } from 'vite'

const server = 'http://127.0.0.1:8080'

export default defineConfig({
  root: 'client',
  plugins: [vue()],
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
