import type { Plugin } from 'vite';

/**
 * What the built page may do: run its own scripts and compile WASM, talk to its own origin, and nothing else. Photos cannot
 * leave the machine, because there is nowhere the page is allowed to send them.
 */
const POLICY: Readonly<Record<string, string>> = {
  'default-src': "'none'",
  'script-src': "'self' 'wasm-unsafe-eval'",
  'style-src': "'self'",
  'img-src': "'self' blob: data:",
  'font-src': "'self'",
  'connect-src': "'self'",
  'worker-src': "'self'",
  'manifest-src': "'self'",
  'base-uri': "'none'",
  'form-action': "'none'",
};

const text = (policy: Readonly<Record<string, string>>): string =>
  Object.entries(policy)
    .map(([directive, sources]) => `${directive} ${sources}`)
    .join('; ');

/** Headers for every file served. Workers take their policy from these: the page's own meta tag does not reach them. */
export const policyHeaders: Readonly<Record<string, string>> = {
  'Content-Security-Policy': `${text(POLICY)}; frame-ancestors 'none'`,
  'X-Content-Type-Options': 'nosniff',
  'Referrer-Policy': 'no-referrer',
};

/**
 * Writes the policy into index.html, so that it holds on any host. The development server swaps styles in place, inline. Other
 * pages, such as the test runner's own, are left alone.
 */
export function contentPolicy(): Plugin {
  let serving = false;
  return {
    name: 'evencast-content-policy',
    configResolved(config) {
      serving = config.command === 'serve';
    },
    transformIndexHtml(_html, { path }) {
      if (path !== '/index.html') return undefined;
      const content = text(serving ? { ...POLICY, 'style-src': "'self' 'unsafe-inline'" } : POLICY);
      return [
        { tag: 'meta', attrs: { 'http-equiv': 'Content-Security-Policy', content }, injectTo: 'head-prepend' as const },
      ];
    },
  };
}
