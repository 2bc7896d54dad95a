/** Each p raised for how many were tried with it (Holm 1979): below alpha with a chance of at most alpha where nothing is the matter. */
export function holm(p: readonly number[]): readonly number[] {
  const order = p.map((_, i) => i).sort((a, b) => p[a]! - p[b]!);
  const out = [...p];
  let most = 0;
  order.forEach((i, rank) => {
    most = Math.max(most, Math.min(1, p[i]! * (p.length - rank)));
    out[i] = most;
  });
  return out;
}
