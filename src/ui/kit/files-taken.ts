/** Takes files that are dropped on the page or pasted. */
export type FileTaker = (files: readonly File[]) => void;

const takers: FileTaker[] = [];

/**
 * From now on files dropped or pasted anywhere go to `taker`: for rooms that want photos for themselves, as
 * `$effect(() => claimFiles(take))`. Without a claim they are photos of the die in hand.
 *
 * @returns Ends the claim; the one before holds again.
 */
export function claimFiles(taker: FileTaker): () => void {
  takers.push(taker);
  return () => {
    takers.splice(takers.lastIndexOf(taker), 1);
  };
}

/** Who takes files now, or undefined. */
export const fileTaker = (): FileTaker | undefined => takers.at(-1);
