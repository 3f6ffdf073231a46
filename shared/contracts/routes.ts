import type { Role } from './kinds.ts'

/** Who may call: a role of the event in the path, `anyone` without a link, `member` any link of that event but a feed's, `owner` the server's owner. */
export type Caller = 'anyone' | 'member' | Role

export interface Route {
  method: 'GET' | 'POST' | 'PUT' | 'DELETE'
  path: string
  who: readonly Caller[]
  /** What the route does, in one line for the document. */
  summary: string
}

export const API = '/api/v1'
const writers = ['crew', 'coordinator', 'commander', 'owner'] as const
const coordinators = ['coordinator', 'commander', 'owner'] as const
const feeds = ['feed', 'owner'] as const
const commanders = ['commander', 'owner'] as const

/** The whole API on one screen. `:eventId` names the plan and its event alike: an event is what happens to one plan. */
export const ROUTES = {
  health: { method: 'GET', path: '/health', who: ['anyone'], summary: 'Is the process alive' },
  ready: { method: 'GET', path: '/ready', who: ['anyone'], summary: 'Can the service record' },
  metrics: { method: 'GET', path: '/metrics', who: ['owner'], summary: 'Figures of the service for a monitor' },
  openapi: { method: 'GET', path: '/openapi.json', who: ['anyone'], summary: 'This document' },
  computeOnLoad: {
    method: 'POST',
    path: '/compute/onload',
    who: ['anyone'],
    summary: 'One ship on one station: curve, knee, minutes, off-load'
  },
  computeOrder: {
    method: 'POST',
    path: '/compute/order',
    who: ['anyone'],
    summary: 'A plan and sequences: slots, judgement, ledger'
  },
  signIn: { method: 'POST', path: '/memberships', who: ['anyone'], summary: 'Exchange a link secret for a cookie' },
  membership: {
    method: 'GET',
    path: '/memberships/:linkId',
    who: ['anyone'],
    summary: 'Who this browser is under that link'
  },
  signOut: {
    method: 'DELETE',
    path: '/memberships/:linkId',
    who: ['anyone'],
    summary: 'Forget the link in this browser'
  },
  createPlan: { method: 'POST', path: '/plans', who: ['owner'], summary: 'A new event from a plan document' },
  listPlans: { method: 'GET', path: '/plans', who: ['owner'], summary: 'All events' },
  readPlan: { method: 'GET', path: '/plans/:eventId', who: ['member'], summary: 'The newest revision' },
  listRevisions: {
    method: 'GET',
    path: '/plans/:eventId/revisions',
    who: ['member'],
    summary: 'Every revision: when it was saved, and under which link'
  },
  readRevision: {
    method: 'GET',
    path: '/plans/:eventId/revisions/:revision',
    who: ['member'],
    summary: 'One revision'
  },
  savePlan: {
    method: 'PUT',
    path: '/plans/:eventId',
    who: commanders,
    summary: 'Save a new revision over the one seen'
  },
  importPlan: {
    method: 'POST',
    path: '/plans/:eventId/import',
    who: commanders,
    summary: 'Replace the plan by a file, as a new revision'
  },
  exportPlan: {
    method: 'GET',
    path: '/plans/:eventId/export',
    who: ['member'],
    summary: 'The newest revision as a file'
  },
  publishPlan: {
    method: 'POST',
    path: '/plans/:eventId/publish',
    who: commanders,
    summary: 'Adopt a revision for the event'
  },
  readState: {
    method: 'GET',
    path: '/events/:eventId/state',
    who: ['member'],
    summary: 'The event as it stands: every ship, slot and tanker'
  },
  readLog: {
    method: 'GET',
    path: '/events/:eventId/log',
    who: ['member'],
    summary: 'Facts after a sequence number, a page of them'
  },
  record: { method: 'POST', path: '/events/:eventId/facts', who: writers, summary: 'Ask for something to be recorded' },
  takeReadings: {
    method: 'POST',
    path: '/events/:eventId/readings',
    who: feeds,
    summary: 'Readings of gauges; those that tell something become fuel calls'
  },
  startSearch: {
    method: 'POST',
    path: '/events/:eventId/search',
    who: coordinators,
    summary: 'Look for a better order; ends the search before'
  },
  readSearch: { method: 'GET', path: '/events/:eventId/search', who: ['member'], summary: 'The last search' },
  stopSearch: {
    method: 'DELETE',
    path: '/events/:eventId/search',
    who: coordinators,
    summary: 'Stop it; what it found stays'
  },
  stream: { method: 'GET', path: '/events/:eventId/stream', who: ['member'], summary: 'The live socket' },
  listMembers: {
    method: 'GET',
    path: '/events/:eventId/members',
    who: ['member'],
    summary: 'Which role each link has that ever was: who is meant where a fact names one'
  },
  listLinks: {
    method: 'GET',
    path: '/events/:eventId/links',
    who: commanders,
    summary: 'Links of the event, without secrets'
  },
  createLink: {
    method: 'POST',
    path: '/events/:eventId/links',
    who: commanders,
    summary: 'A new link; its secret is told once'
  },
  renewLink: {
    method: 'POST',
    path: '/events/:eventId/links/:linkId/secret',
    who: commanders,
    summary: 'Another secret for a link, told once; the one before opens nothing any more'
  },
  revokeLink: { method: 'DELETE', path: '/events/:eventId/links/:linkId', who: commanders, summary: 'End a link' }
} as const satisfies Record<string, Route>

export type RouteName = keyof typeof ROUTES

/** Fills the parameters of a path: `pathOf('readPlan', { eventId })`. */
export function pathOf(name: RouteName, parameters: Readonly<Record<string, string | number>> = {}): string {
  return (
    API +
    ROUTES[name].path.replace(/:(\w+)/g, (_, key: string) => encodeURIComponent(String(parameters[key] ?? `:${key}`)))
  )
}
