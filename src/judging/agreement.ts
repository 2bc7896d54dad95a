/** Coverage factor of the expanded uncertainties that E_n is made of (ISO/IEC 17043:2010, B.3.1.3). */
const K = 2;

/** Two measurements of one quantity beside each other; same unit throughout. */
export interface Agreement {
  /** One less the other. */
  readonly difference: number;
  /** Expanded uncertainty (k = 2) of the difference. */
  readonly U95: number;
  /** Difference over the root of both expanded uncertainties squared (ISO/IEC 17043:2010, B.3.1.3 e; ISO 13528:2015, 9.7). */
  readonly en: number;
  /** Difference over the root of both standard uncertainties squared (ISO 13528:2015, 9.6). */
  readonly zeta: number;
  /** |E_n| at most 1: both agree within their doubts. */
  readonly agrees: boolean;
  /** By |zeta|: up to 2 satisfactory, from 3 unsatisfactory, between them questionable (ISO 13528:2015, 9.4.2 and 9.6). */
  readonly grade: 'satisfactory' | 'questionable' | 'unsatisfactory';
}

/**
 * Whether two independent measurements agree within their doubts.
 *
 * Both scores are the same but for their factor as long as both expanded uncertainties have k = 2, as here.
 *
 * @param u  Standard uncertainties, not both 0.
 */
export function agreement(value: number, u: number, reference: number, uReference: number): Agreement {
  const difference = value - reference;
  const combined = Math.hypot(u, uReference);
  const zeta = difference / combined;
  const en = difference / Math.hypot(K * u, K * uReference);
  const size = Math.abs(zeta);
  return {
    difference,
    U95: K * combined,
    en,
    zeta,
    agrees: Math.abs(en) <= 1,
    grade: size <= 2 ? 'satisfactory' : size < 3 ? 'questionable' : 'unsatisfactory',
  };
}
