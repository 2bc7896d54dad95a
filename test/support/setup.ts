import { afterEach, expect } from 'vitest';
import { watchConsole } from './console-guard.ts';

const said = watchConsole(console);

afterEach(() => {
  expect(said(), 'unexpected console output').toEqual([]);
});
