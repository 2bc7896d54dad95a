import js from '@eslint/js';
import svelte from 'eslint-plugin-svelte';
import globals from 'globals';
import ts from 'typescript-eslint';

const CLOCK = 'No clock below ui and cli: same input, same bytes out.';
const CHANCE = 'No unseeded chance: take a seed as an argument.';

export default ts.config(
  { ignores: ['dist/', 'coverage/', 'node_modules/', 'samples/', 'public/', '.svelte-check/', 'assembly/'] },
  js.configs.recommended,
  ts.configs.recommended,
  svelte.configs['flat/recommended'],
  svelte.configs['flat/prettier'],
  // Rules that ask for types are oxlint's (.oxlintrc.json, config/check-types.ts): the same rules in a tenth of the time.
  {
    files: ['**/*.{ts,svelte}'],
    languageOptions: { parserOptions: { parser: ts.parser } },
    rules: {
      '@typescript-eslint/consistent-type-imports': 'error',
      '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_' }],
      // Numeric code reads typed arrays at indices it has just counted.
      '@typescript-eslint/no-non-null-assertion': 'off',
      'no-console': 'error',
      eqeqeq: 'error',
      // State classes keep bookkeeping in plain maps and sets on purpose: only what is shown is reactive.
      'svelte/prefer-svelte-reactivity': 'off',
      // Types do this better, and know the libraries of each project.
      'no-undef': 'off',
    },
  },
  { files: ['**/*.svelte', 'src/ui/**', 'workers/**'], languageOptions: { globals: globals.browser } },
  {
    files: [
      'src/*.ts',
      'src/{maths,geometry,photo,formats,vision,fit,measure,shots,live,bin,bank-card,judging,figures,bias,lots,report}/**',
    ],
    rules: {
      'no-restricted-properties': [
        'error',
        { object: 'Math', property: 'random', message: CHANCE },
        { object: 'Date', property: 'now', message: CLOCK },
        { object: 'performance', property: 'now', message: CLOCK },
      ],
      'no-restricted-syntax': [
        'error',
        { selector: 'NewExpression[callee.name="Date"][arguments.length=0]', message: CLOCK },
        { selector: 'CallExpression[callee.name="Date"]', message: CLOCK },
      ],
      'no-restricted-globals': ['error', { name: 'crypto', message: CHANCE }, { name: 'performance', message: CLOCK }],
    },
  },
);
