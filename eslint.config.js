import prettier from 'eslint-config-prettier'
import vue from 'eslint-plugin-vue'
import { defineConfig } from 'eslint/config'
import tseslint from 'typescript-eslint'
import vueParser from 'vue-eslint-parser'

const localTime = [
  {
    selector:
      'MemberExpression[property.name=/^((get|set)(UTC)?(FullYear|Month|Date|Day|Hours|Minutes|Seconds|Milliseconds)|getYear|getTimezoneOffset|toDateString|toTimeString)$/]',
    message: 'Time is UTC epoch milliseconds: no Date getters or setters.'
  },
  {
    selector: 'MemberExpression[property.name=/^toLocale\\w*String$/]',
    message: 'Every reader sees the same figure: no locale formats.'
  },
  {
    selector: 'MemberExpression[object.name="Intl"][property.name="DateTimeFormat"]',
    message: 'Every reader sees the same time: no locale formats.'
  },
  {
    selector: 'NewExpression[callee.name="Date"][arguments.length>1]',
    message: 'This reads its arguments in the local time zone: use Date.UTC().'
  },
  { selector: 'CallExpression[callee.name="Date"]', message: 'This gives local time: use epoch milliseconds.' }
]

const clockAndChance = [
  {
    selector: 'MemberExpression[object.name="Date"][property.name="now"]',
    message: 'shared/ has no clock: take the time as a parameter.'
  },
  {
    selector: 'NewExpression[callee.name="Date"][arguments.length=0]',
    message: 'shared/ has no clock: take the time as a parameter.'
  },
  {
    selector: 'MemberExpression[object.name="Math"][property.name="random"]',
    message: 'shared/ has no chance: take a seeded source as a parameter.'
  }
]

const environment = {
  selector: 'MemberExpression[object.name="process"][property.name="env"]',
  message: 'Only server/config.ts reads the environment.'
}

const forbid = (...rules) => ({ 'no-restricted-syntax': ['error', ...rules] })

export default defineConfig(
  { ignores: ['dist', 'coverage', 'data', 'client/vue.d.ts'] },
  {
    files: ['**/*.ts', '**/*.vue'],
    extends: [tseslint.configs.strictTypeChecked],
    languageOptions: {
      parserOptions: { projectService: true, extraFileExtensions: ['.vue'], tsconfigRootDir: import.meta.dirname }
    },
    rules: {
      ...forbid(...localTime),
      eqeqeq: 'error',
      '@typescript-eslint/consistent-type-imports': ['error', { fixStyle: 'inline-type-imports' }],
      '@typescript-eslint/restrict-template-expressions': ['error', { allowNumber: true }],
      '@typescript-eslint/switch-exhaustiveness-check': ['error', { considerDefaultExhaustiveForUnions: true }]
    }
  },
  { files: ['shared/**/*.ts'], rules: forbid(...localTime, ...clockAndChance) },
  { files: ['server/**/*.ts'], ignores: ['server/config.ts'], rules: forbid(...localTime, environment) },
  {
    files: ['**/*.vue'],
    extends: [vue.configs['flat/recommended']],
    languageOptions: {
      parser: vueParser,
      parserOptions: {
        parser: tseslint.parser,
        projectService: true,
        extraFileExtensions: ['.vue'],
        tsconfigRootDir: import.meta.dirname
      }
    },
    rules: {
      'vue/no-restricted-syntax': ['error', ...localTime],
      'vue/no-v-html': 'error',
      'vue/block-lang': ['error', { script: { lang: 'ts' } }],
      'vue/component-api-style': ['error', ['script-setup']],
      'vue/define-props-declaration': ['error', 'type-based'],
      'vue/define-emits-declaration': ['error', 'type-based'],
      // App.vue is the one part with a single word.
      'vue/multi-word-component-names': ['error', { ignores: ['App'] }]
    }
  },
  { files: ['**/*.js', '**/*.mjs', '**/*.cjs'], extends: [tseslint.configs.base], rules: forbid(...localTime) },
  prettier
)
