import { setFlagsFromString } from 'node:v8';

/** V8's own settings for this process and its threads: all that a command does lasts a second or some, over a few large pictures. */
const FLAGS = {
  /**
   * By how much a heap may grow over what lived at its last clearing before it is cleared again, percent; V8's own is 100 to 300. Live are 15 to 25 MB.
   * Each clearing throws away the machine code of closures that nobody holds at that moment, and a photo's look is full of them.
   */
  'heap-growing-percent': 1000,
  /**
   * Bytes of bytecode that a function runs before machine code is made of it; V8's own is 132 kB. Much of that code came too early to know what it works
   * on, or too late to be of use: begun cold, ten photos of a d20 take two threads 2.48 s and 3.97 s of processor time instead of 2.75 and 4.70, four of a d6
   * one thread 1.24 and 1.69 instead of 1.36 and 2.06. Twice as much gains no more, and what goes on for long begins slower.
   */
  'interrupt-budget': 500_000,
} as const;

export function setV8Flags(): void {
  for (const [flag, value] of Object.entries(FLAGS)) setFlagsFromString(`--${flag}=${value}`);
}
