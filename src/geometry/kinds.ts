/** Kinds of dice that are known, by the number of their faces. */
export const DIE_KINDS = ['d4', 'd6', 'd8', 'd10', 'd12', 'd20'] as const;
export type DieKind = (typeof DIE_KINDS)[number];
