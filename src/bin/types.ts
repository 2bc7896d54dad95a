export { LIMIT_NAMES } from '../formats/bin.ts';
export type {
  BinDie,
  BinFolderJob,
  BinJob,
  BinLimits,
  BinMatching,
  BinPhoto,
  BinPhotoStatus,
  BinReference,
  BinResult,
  BinVerdict as Verdict,
  LimitName,
  Reason,
  ReasonCode,
} from '../formats/bin.ts';
