import { expose } from 'comlink';
import { analyseLog } from '../src/bias/log/log-analysis.ts';
import { logFindings } from '../src/bias/log/log-findings.ts';
import type { Prediction } from '../src/bias/meaning/prediction.ts';
import { readLog, type LogFault } from '../src/bias/log/roll-log.ts';
import { success, type Result } from '../src/result.ts';
import { LOG_PROTOCOL, type LogApi, type ReadLog } from './log-protocol.ts';

function read(text: string, prediction: Prediction, seed: number): Result<ReadLog, LogFault> {
  const log = readLog(text, prediction.names);
  if (!log.ok) return log;
  const analysis = analyseLog(log.value, seed, prediction);
  const { names, counts, rolls, strangers, guessed } = log.value;
  const findings = logFindings(log.value, analysis);
  return success({ log: { names, counts, rolls, strangers, guessed }, analysis, findings });
}

const api: LogApi = {
  protocol: LOG_PROTOCOL,
  analyse: (text, prediction, seed) => Promise.resolve(read(text, prediction, seed)),
};

// A message that cannot be read would leave its sender waiting: let it end this worker instead.
addEventListener('messageerror', () => {
  throw new Error('a message to the worker could not be read');
});
expose(api);
