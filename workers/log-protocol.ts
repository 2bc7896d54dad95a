import type { LogAnalysis } from '../src/bias/log/log-analysis.ts';
import type { LogFinding } from '../src/bias/log/log-findings.ts';
import type { Prediction } from '../src/bias/meaning/prediction.ts';
import type { LogFault, RollLog } from '../src/bias/log/roll-log.ts';
import type { Result } from '../src/result.ts';
import type { WorkerApi } from './protocol.ts';

/** Raised with every change of what crosses to the worker that reads roll logs. */
export const LOG_PROTOCOL = 3;

/** A log without its sequence, which may be long, and what it tells. */
export interface ReadLog {
  readonly log: Omit<RollLog, 'sequence'>;
  readonly analysis: LogAnalysis;
  /** What is to be said of it, without its words. */
  readonly findings: readonly LogFinding[];
}

export interface LogApi extends WorkerApi {
  /** Reads and analyses a log of the prediction's die; `seed` for drawn logs of the exact test. */
  analyse(text: string, prediction: Prediction, seed: number): Promise<Result<ReadLog, LogFault>>;
}
