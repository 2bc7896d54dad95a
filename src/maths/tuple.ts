/** A list of numbers whose length is part of its type. */
export type Tuple<N extends number, T extends readonly number[] = []> = T['length'] extends N
  ? T
  : Tuple<N, readonly [...T, number]>;

/** The first `length` numbers of a list as a tuple, e.g. to give each a name. @throws {RangeError} Where there are fewer. */
export function tuple<N extends number>(values: ArrayLike<number>, length: N): Tuple<N> {
  if (values.length < length) throw new RangeError(`${length} numbers needed, ${values.length} given`);
  return Array.from({ length }, (_, i) => values[i]) as unknown as Tuple<N>;
}
