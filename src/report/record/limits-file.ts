import { failure, success, type Result } from '../../result.ts';
import { typed, TYPED } from './plain-text.ts';
import {
  aroundNominal,
  LIMIT_KEYS,
  NO_LIMITS,
  toleranceFault,
  type LimitKey,
  type Tolerance,
} from '../../judging/tolerance.ts';
import type { Limits } from '../../judging/decision.ts';

/**
 * Reads limits as a file gives them: `{ "name", "source", "size", "range", "edges", "chances", "crowns", "marks" }`, each limit `{ "low", "high" }` (either may
 * be left out), size also as `{ "nominal", "minus", "plus" }`. Lengths mm, chances as shares of an even die's. The error is one sentence.
 */
export function readTolerance(json: unknown): Result<Tolerance, string> {
  if (typeof json !== 'object' || json === null || Array.isArray(json)) return failure('limits: an object is needed');
  const given = json as Record<string, unknown>;
  const unknown = Object.keys(given).find((k) => ![...LIMIT_KEYS, 'name', 'source'].includes(k));
  if (unknown !== undefined)
    return failure(`limits: ${JSON.stringify(unknown).slice(0, 40)} is unknown; ${LIMIT_KEYS.join(', ')} are known`);
  const out: Partial<Record<LimitKey, Limits>> = {};
  for (const key of LIMIT_KEYS) {
    if (given[key] === undefined || given[key] === null) continue;
    const limits = readLimits(given[key], key);
    if (typeof limits === 'string') return failure(limits);
    out[key] = limits;
  }
  const tolerance = {
    ...NO_LIMITS,
    ...out,
    name: typed(given['name'], TYPED.line),
    source: typed(given['source'], TYPED.line),
  };
  const fault = toleranceFault(tolerance);
  return fault === null ? success(tolerance) : failure(`limits: ${fault}`);
}

function readLimits(value: unknown, key: LimitKey): Limits | string {
  if (typeof value !== 'object' || value === null) return `limits: ${key}: { "low", "high" } is needed`;
  const v = value as Record<string, unknown>;
  const wrong = Object.entries(v).find(([, x]) => x !== null && typeof x !== 'number');
  if (wrong) return `limits: ${key}.${wrong[0].slice(0, 20)}: a number is needed`;
  const n = v as Record<string, number | null>;
  if (key === 'size' && typeof n['nominal'] === 'number')
    return aroundNominal(n['nominal'], n['minus'] ?? 0, n['plus'] ?? 0);
  const stray = Object.keys(v).find((k) => k !== 'low' && k !== 'high');
  if (stray !== undefined)
    return `limits: ${key}: ${JSON.stringify(stray).slice(0, 40)} is unknown; low and high are known`;
  return { low: n['low'] ?? null, high: n['high'] ?? null };
}
