import { mkdirSync, readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import type { Page } from 'playwright-core'

const shots = fileURLToPath(new URL('../../node_modules/.cache/screens', import.meta.url))
const wanted = (process.env['SCREENS'] ?? '') !== ''

/** A picture of the page, or of a part of it, to be looked at; taken where SCREENS is set, since no test reads it. */
export async function shoot(page: Page, name: string, part?: string): Promise<void> {
  if (!wanted) return
  mkdirSync(shots, { recursive: true })
  await (part === undefined ? page : page.locator(part)).screenshot({ path: join(shots, `${name}.png`) })
}

/** What of the rules depends on colours: all that differs between light and dark. */
const OF_COLOURS = ['color-contrast', 'link-in-text-block']
const source = (): string => readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
let axe: string | undefined

/**
 * Barriers that a machine can find in what the page shows now, light and dark, each with where it stands: every rule in
 * light, and those of colours again in dark. Walk to a state once, for both; a picture of each as `shoot` takes it. Where
 * all else is what another state has shown, only the `part` that is new is gone through.
 */
export async function barriers(page: Page, name: string, part?: string): Promise<string[]> {
  if (!(await page.evaluate(() => 'axe' in window))) await page.evaluate((axe ??= source()))
  const found: string[] = []
  for (const colorScheme of ['light', 'dark'] as const) {
    await page.emulateMedia({ colorScheme, reducedMotion: 'reduce' })
    await shoot(page, `${name}-${colorScheme}`)
    const violations = await page.evaluate(
      async ({ rules, part }) => {
        const { axe } = window as unknown as {
          axe: { run: (within: Document | string, options: object) => Promise<{ violations: Violation[] }> }
        }
        // Of what passes nothing is told: to name each of those places takes as long as the rules do.
        const options = { resultTypes: ['violations'], ...(rules && { runOnly: rules }) }
        return (await axe.run(part ?? document, options)).violations
      },
      { rules: colorScheme === 'dark' ? OF_COLOURS : undefined, part }
    )
    for (const { id, nodes } of violations)
      found.push(`${name}, ${colorScheme}: ${id} at ${nodes.map((node) => node.html).join(' ')}`)
  }
  return found
}

interface Violation {
  id: string
  nodes: { html: string }[]
}
