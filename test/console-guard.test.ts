import { expect, test } from 'vitest';
import { watchConsole } from './support/console-guard.ts';

test('what is said to the console is kept, once, and goes no further', () => {
  const heard: unknown[] = [];
  const hear = (...args: unknown[]): void => void heard.push(args);
  const target = { debug: hear, error: hear, info: hear, log: hear, trace: hear, warn: hear };
  const said = watchConsole(target);
  target.warn('a', 1);
  target.log('b');
  expect(said()).toEqual(['console.warn: a 1', 'console.log: b']);
  expect(said()).toEqual([]);
  expect(heard).toEqual([]);
});
