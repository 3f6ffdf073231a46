// The written architecture: which room may import which. `npm run walls` checks it.

/** Types vanish when compiled: an import of types alone ties nothing together at run time. */
const notTypes = { dependencyTypesNot: ['type-only'] }

/** The contract files without a schema: words, bounds and paths that any page may load at once. */
const plainContracts = '^shared/contracts/(bounds|kinds|problem|routes|stream)[.]ts$'

module.exports = {
  forbidden: [
    {
      name: 'shared-stands-alone',
      comment: 'shared <- server, shared <- client, nothing else.',
      severity: 'error',
      from: { path: '^shared/' },
      to: { path: '^(server|client|tests)/' }
    },
    {
      name: 'shared-no-node',
      severity: 'error',
      from: { path: '^shared/' },
      to: { dependencyTypes: ['core'] }
    },
    {
      name: 'shared-packages',
      comment: 'The only packages of shared/: zod in contracts, geographiclib in geodesy.',
      severity: 'error',
      from: { path: '^shared/' },
      to: { path: '^node_modules/', pathNot: '^node_modules/(zod|geographiclib-geodesic)/' }
    },
    {
      name: 'tables-judge-with-schemas',
      comment:
        'Tables are edited, merged and compared without a schema; only their judge has the contracts judge them.',
      severity: 'error',
      from: { path: '^shared/tables/', pathNot: '^shared/tables/judge[.]ts$' },
      to: { path: '^shared/(contracts/|plan/read[.]ts$)', pathNot: plainContracts, ...notTypes }
    },
    {
      name: 'tables-not-live',
      comment: 'A draft is a plan to be: it knows nothing of an event.',
      severity: 'error',
      from: { path: '^shared/tables/' },
      to: { path: '^shared/(live|propose|working|filter|entry)/' }
    },
    {
      name: 'zod-in-contracts-only',
      severity: 'error',
      from: { path: '^shared/', pathNot: '^shared/contracts/' },
      to: { path: '^node_modules/zod/' }
    },
    {
      name: 'plain-contracts-have-no-schema',
      comment: 'Pages load these first; zod must not come along.',
      severity: 'error',
      from: { path: plainContracts },
      to: { path: '^(node_modules/zod/|shared/contracts/)', pathNot: plainContracts, ...notTypes }
    },
    {
      name: 'contracts-compute-nothing',
      comment: 'Contracts know no other room of shared/ but the units.',
      severity: 'error',
      from: { path: '^shared/contracts/' },
      to: { path: '^shared/', pathNot: '^shared/(contracts/|units[.]ts$)' }
    },
    {
      name: 'numbers-know-types-only',
      comment: 'Numbers take and give plain values; of the contracts they use types at most.',
      severity: 'error',
      from: { path: '^shared/(tanks|fuel|order|filter)/|^shared/(units|atmosphere|geodesy|density)[.]ts$' },
      to: { path: '^shared/contracts/', ...notTypes }
    },
    {
      name: 'order-not-tanks',
      comment: 'Ordering sees ships as service curves, however they were made.',
      severity: 'error',
      from: { path: '^shared/order/' },
      to: { path: '^shared/tanks/' }
    },
    {
      name: 'numbers-not-live',
      severity: 'error',
      from: { path: '^shared/(tanks|fuel|order|filter)/' },
      to: { path: '^shared/(live|working|rehearsal)/' }
    },
    {
      name: 'live-not-suggest',
      comment: 'A suggested order is a fact: replay never solves.',
      severity: 'error',
      from: { path: '^shared/live/' },
      to: { path: '^shared/order/suggest' }
    },
    {
      name: 'working-only-for-showing',
      comment: 'A working is made when somebody opens it: nothing that decides or estimates knows of it.',
      severity: 'error',
      from: { path: '^(shared|server)/', pathNot: '^shared/working/' },
      to: { path: '^shared/working/' }
    },
    {
      name: 'working-shows-what-is',
      comment: "A working shows what the numbers are made of: the spread of an estimate is the filter's.",
      severity: 'error',
      from: { path: '^shared/working/' },
      to: {
        path: '^shared/',
        pathNot: '^shared/((working|live|plan|fuel|tanks|order|filter)/|contracts/|(units|geodesy)[.]ts$)'
      }
    },
    {
      name: 'working-lazily',
      comment: 'Its sheet comes by import(), with all that it needs; the first load stays small.',
      severity: 'error',
      from: { path: '^client/', pathNot: '^client/(parts/Working|words/working[.]ts$)' },
      to: {
        path: '^(shared/working/|client/parts/Working|client/words/working[.]ts$)',
        dependencyTypesNot: ['type-only', 'dynamic-import']
      }
    },
    {
      name: 'server-not-client',
      severity: 'error',
      from: { path: '^server/' },
      to: { path: '^(client|tests)/' }
    },
    {
      name: 'routes-not-database',
      comment: 'Routes speak to the store port.',
      severity: 'error',
      from: { path: '^server/', pathNot: '^server/store/' },
      to: { path: '^node_modules/(drizzle-orm|better-sqlite3)/' }
    },
    {
      name: 'client-not-server',
      severity: 'error',
      from: { path: '^client/' },
      to: { path: '^(server|tests)/' }
    },
    {
      name: 'client-no-node',
      severity: 'error',
      from: { path: '^client/' },
      to: { dependencyTypes: ['core'] }
    },
    {
      name: 'zod-lazily',
      comment: 'A page that needs a schema imports it with import(); zod stays out of the first load.',
      severity: 'error',
      from: { path: '^client/' },
      to: {
        path: '^(node_modules/zod/|shared/contracts/)',
        pathNot: plainContracts,
        dependencyTypesNot: ['type-only', 'dynamic-import']
      }
    },
    {
      name: 'parts-not-stream',
      comment: 'Parts take props and give events; they fetch nothing.',
      severity: 'error',
      from: { path: '^client/parts/' },
      to: { path: '^client/(stream|api)[.]ts$', ...notTypes }
    },
    {
      name: 'no-cycles',
      severity: 'error',
      from: {},
      to: { circular: true, viaOnly: { dependencyTypesNot: ['type-only'] } }
    },
    {
      name: 'nothing-unresolved',
      severity: 'error',
      from: {},
      to: { couldNotResolve: true }
    }
  ],
  options: {
    doNotFollow: { path: '^node_modules/' },
    exclude: { path: '(^|/)dist/' },
    // Types are imports too, for the walls between rooms.
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.base.json' },
    enhancedResolveOptions: {
      extensions: ['.ts', '.vue', '.js', '.mjs', '.cjs', '.json'],
      exportsFields: ['exports'],
      conditionNames: ['import', 'node', 'default', 'types']
    }
  }
}
