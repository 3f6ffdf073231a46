import files from '@fastify/static'
import type { FastifyInstance, FastifyRequest } from 'fastify'
import { existsSync } from 'node:fs'
import { join, sep } from 'node:path'
import { Problem, sendProblem } from './problem.ts'

/** The built pages. An address without a file is a place inside the client, which opens it from its one page. */
export async function registerPages(app: FastifyInstance, clientDir: string | undefined): Promise<void> {
  const hasPages = clientDir !== undefined && existsSync(join(clientDir, 'index.html'))
  if (hasPages) {
    await app.register(files, {
      root: clientDir,
      dotfiles: 'ignore',
      cacheControl: false,
      setHeaders: (reply, path) => {
        // The names of built files change with their content; the page that names them is asked for each time.
        const isNamedByContent = path.includes(`${sep}assets${sep}`)
        reply.header('cache-control', isNamedByContent ? 'public, max-age=31536000, immutable' : 'no-cache')
      }
    })
  }
  app.setNotFoundHandler((request, reply) => {
    if (hasPages && isPage(request)) return reply.sendFile('index.html')
    return sendProblem(reply, new Problem('not-found'))
  })
}

function isPage({ method, url }: FastifyRequest): boolean {
  const path = url.split('?', 1)[0] ?? ''
  const isFile = /\.[^/]*$/.test(path)
  return ['GET', 'HEAD'].includes(method) && path !== '/api' && !path.startsWith('/api/') && !isFile
}
