/** What tests put into the pages that they drive. */
interface AxeFound {
  violations: { id: string; nodes: { html: string }[] }[];
}
/* eslint-disable no-var */
declare var axe: { run(what: object | string): Promise<AxeFound> };
/** Photos taken off the video. */
declare var taken: Blob[];
/** Puts a photo before the page's camera. @param jpeg  Base64. */
declare var layBefore: (jpeg: string) => Promise<void>;
/** How often the page has looked at its camera's video. */
declare var looks: number;
