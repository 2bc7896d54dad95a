import type { CrewAnswer, CrewQuestion } from '../src/measure/photo-crew.ts';

/** What the vision worker asks one that works on photos. */
export type PhotoQuestion = CrewQuestion;

/** What that answers, and after a look the photo made small; null where it was not decoded. */
export type PhotoAnswer = CrewAnswer & { readonly thumbnail?: ImageBitmap | null };
