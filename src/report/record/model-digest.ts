import kernels from '../../bias/kernel/kernels.json' with { type: 'json' };
import { MODEL_DOUBT } from '../../bias/meaning/prediction.ts';
import { utf8 } from './bytes.ts';
import { canonicalJson } from './canonical-json.ts';
import { sha256Hex } from './sha256.ts';

let known: string | undefined;

/** The start of the SHA-256 of the kernels and doubts that predict rolls: reports made with others may rightly state other chances. */
export const modelDigest = (): string =>
  (known ??= sha256Hex(utf8(canonicalJson({ kernels, doubt: MODEL_DOUBT }))).slice(0, 16));
