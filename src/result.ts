/** The value, or why there is none. Expected failures travel as values; exceptions are bugs. */
export type Result<T, F> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly error: F };

export const success = <T>(value: T): { readonly ok: true; readonly value: T } => ({ ok: true, value });
export const failure = <F>(error: F): { readonly ok: false; readonly error: F } => ({ ok: false, error });
