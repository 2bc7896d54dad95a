const METHODS = ['debug', 'error', 'info', 'log', 'trace', 'warn'] as const;

type Console = Record<(typeof METHODS)[number], (...args: unknown[]) => void>;

/** Swallows what is said to `target` from now on and returns a function that hands over the lines said since its last call. */
export function watchConsole(target: Console): () => string[] {
  let lines: string[] = [];
  for (const method of METHODS) {
    target[method] = (...args) => {
      lines.push(`console.${method}: ${args.map(String).join(' ')}`);
    };
  }
  return () => {
    const said = lines;
    lines = [];
    return said;
  };
}
