import type { JobFault } from '../../formats/job.ts';
import { jobMessage } from '../../text/job-faults.ts';
import { language } from './language.svelte.ts';

/** The words for what is wrong with a job file, in the language in use; one sentence without its full stop. */
export const jobFaultIn = (fault: JobFault): string => jobMessage(fault, language.current);
