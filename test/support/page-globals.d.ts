/** What tests put into the pages that they drive. */
interface AxeFound {
  violations: { id: string; nodes: { html: string }[] }[];
}
/* eslint-disable no-var */
declare var axe: { run(what: object | string): Promise<AxeFound> };
declare var taken: Blob[];
