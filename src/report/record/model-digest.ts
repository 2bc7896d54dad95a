import kernels from '../../bias/kernel/kernels.json' with { type: 'json' };
import { utf8 } from './bytes.ts';
import { canonicalJson } from './canonical-json.ts';
import { sha256Hex } from './sha256.ts';

let known: string | undefined;

/** The start of the SHA-256 of the kernels that predict rolls: reports made with others may rightly state other chances. */
export const modelDigest = (): string => (known ??= sha256Hex(utf8(canonicalJson(kernels))).slice(0, 16));
