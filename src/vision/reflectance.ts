/** Refractive index of the usual plastics (PMMA 1.49, polyester 1.52, polystyrene 1.59; handbook values from memory). */
export const REFRACTIVE_INDEX = 1.5;

/**
 * Slope parameters (GGX) of a polished and of a rough surface; a die's lies between them, as a mixture of both. A perfect mirror has no
 * part in it: at the very rim it would mirror half again as much as the best polish.
 */
export const POLISHED = 0.06;
export const ROUGH = 0.2;

/**
 * Share of unpolarised light that a smooth dielectric mirrors at a cosine of incidence.
 *
 * Source: Fresnel's equations in the form of Cook and Torrance (1982), equation 18.
 */
export function fresnel(cosine: number, index: number = REFRACTIVE_INDEX): number {
  const c = Math.min(1, Math.max(0, cosine));
  const g = Math.sqrt(index * index - 1 + c * c);
  const a = ((g - c) / (g + c)) ** 2;
  const b = ((c * (g + c) - 1) / (c * (g - c) + 1)) ** 2;
  return (a * (1 + b)) / 2;
}

/**
 * Share that a rough dielectric mirrors into all directions together.
 *
 * Microfacets with the GGX distribution (Walter et al. 2007), visible normals sampled after Heitz (2018), Smith's height-correlated shadowing.
 */
export function roughReflectance(cosine: number, alpha: number, side = 40): number {
  const c = Math.max(1e-4, cosine);
  const s = Math.sqrt(1 - c * c);
  const il = 1 / Math.hypot(alpha * s, c);
  const [hx, hz] = [alpha * s * il, c * il];
  const lambda = (z: number): number => (Math.sqrt(1 + (alpha * alpha * (1 - z * z)) / Math.max(z, 1e-9) ** 2) - 1) / 2;
  let sum = 0;
  for (let i = 0; i < side; i++)
    for (let j = 0; j < side; j++) {
      const r = Math.sqrt((i + 0.5) / side);
      const phi = (2 * Math.PI * (j + 0.5)) / side;
      const t1 = r * Math.cos(phi);
      const q = (1 + hz) / 2;
      const t2 = (1 - q) * Math.sqrt(1 - t1 * t1) + q * r * Math.sin(phi);
      const t3 = Math.sqrt(Math.max(0, 1 - t1 * t1 - t2 * t2));
      // In the plane of incidence (x) and across (y): T1 = y, T2 = V x T1.
      const nx = -hz * t2 + hx * t3;
      const ny = t1;
      const nz = hx * t2 + hz * t3;
      const [mx, my, mz] = [alpha * nx, alpha * ny, Math.max(1e-9, nz)];
      const ml = 1 / Math.hypot(mx, my, mz);
      const vm = (mx * s + mz * c) * ml;
      const out = 2 * vm * mz * ml - c;
      if (out > 0) sum += (fresnel(vm) * (1 + lambda(c))) / (1 + lambda(c) + lambda(Math.min(1, out)));
    }
  return sum / (side * side);
}

const CELLS = 256;

/**
 * A function of a cosine, tabulated evenly in its square root, since reflectance is steepest at grazing.
 *
 * The table is made at the first call: whoever imports this file and measures nothing, such as a page, does not wait for it.
 */
function tabulated(f: (cosine: number) => number): (cosine: number) => number {
  let t: Float64Array | undefined;
  return (cosine) => {
    t ??= Float64Array.from({ length: CELLS + 1 }, (_, i) => f((i / CELLS) ** 2));
    const q = Math.sqrt(Math.min(1, Math.max(0, cosine))) * CELLS;
    const i = Math.min(CELLS - 1, Math.floor(q));
    return t[i]! + (q - i) * (t[i + 1]! - t[i]!);
  };
}

/** What a polished and a rough plastic mirror at a cosine of incidence, as shares. */
export const mirrorShare = tabulated((c) => roughReflectance(c, POLISHED));
export const roughShare = tabulated((c) => roughReflectance(c, ROUGH));

/**
 * Brightening of a rough body's own light at grazing, relative to its strength.
 *
 * Source: the shape that Burley, "Physically-based shading at Disney" (2012), 5.3, gives diffuse retro-reflection: (1 - cosine)^5.
 */
export const limbTerm = (cosine: number): number => {
  const a = 1 - cosine;
  const a2 = a * a;
  return a2 * a2 * a;
};
