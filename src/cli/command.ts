/** A command: gets the arguments after its name, returns the exit code. */
export type Command = (args: readonly string[]) => Promise<number>;

/** Exit codes shared by all commands. */
export const EXIT = { done: 0, usage: 2, notMeasurable: 3 } as const;
