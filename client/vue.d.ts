// For tools that do not read .vue files (typed lint); vue-tsc uses the real types.
declare module '*.vue' {
  import type { DefineComponent } from 'vue'
  const component: DefineComponent
  export default component
}
