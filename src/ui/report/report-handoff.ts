/** Reports that were dropped elsewhere on the page and wait for their room. */
let waiting: readonly File[] = [];

/** What can be a report: a page or a PDF that Evencast wrote. Results and jobs are JSON, and go where they are dropped. */
export const mayBeReport = (file: File): boolean => /\.(pdf|html?)$/i.test(file.name);

export function leaveReport(files: readonly File[]): void {
  waiting = files;
}

/** What waits; it waits no longer. */
export function takeReport(): readonly File[] {
  const files = waiting;
  waiting = [];
  return files;
}
