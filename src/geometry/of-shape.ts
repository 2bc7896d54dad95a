/** A solid by its shape: the outward normals of its faces, in order. */
interface Shaped {
  readonly normals: Float64Array;
}

/** Shapes that are remembered: more than there are kinds, d10s differ by their apex. */
const MOST = 12;

/** What hangs on a solid's shape alone, not on the numbers of its faces, worked out once for all solids of that shape. */
export function ofShape<Solid extends Shaped, T>(make: (solid: Solid) => T): (solid: Solid) => T {
  const known = new WeakMap<Solid, T>();
  const shapes: { readonly normals: Float64Array; readonly made: T }[] = [];
  return (solid) => {
    let made = known.get(solid);
    if (made !== undefined) return made;
    const like = shapes.find((s) => alike(s.normals, solid.normals));
    made = like ? like.made : make(solid);
    if (!like) shapes.unshift({ normals: solid.normals, made });
    if (shapes.length > MOST) shapes.pop();
    known.set(solid, made);
    return made;
  };
}

function alike(a: Float64Array, b: Float64Array): boolean {
  if (a.length !== b.length) return false;
  for (let k = 0; k < a.length; k++) if (a[k] !== b[k]) return false;
  return true;
}
