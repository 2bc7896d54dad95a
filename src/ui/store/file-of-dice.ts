import type * as DieFile from './die-file.ts';

let fetched: Promise<typeof DieFile> | null = null;

/**
 * What writes and reads files of dice, fetched when it is first asked for: the first room shows without it. The page asks once it stands, since a
 * room that breaks offers such a file, perhaps because nothing can be fetched any more. Rejects where it does not come; asked again it is tried again.
 */
export function fileOfDice(): Promise<typeof DieFile> {
  fetched ??= import('./die-file.ts').catch((thrown: unknown) => {
    fetched = null;
    throw thrown;
  });
  return fetched;
}
