/** A command: gets the arguments after its name, returns the exit code. */
export type Command = (args: readonly string[]) => Promise<number>;

/** Exit codes shared by all commands: done; a fault of the program itself, or an output that cannot be written; usage; input that cannot be measured. */
export const EXIT = { done: 0, failed: 1, usage: 2, notMeasurable: 3 } as const;
