import { svelte } from '@sveltejs/vite-plugin-svelte';
import { playwright } from '@vitest/browser-playwright';
import { defineConfig } from 'vitest/config';
import { chunks } from './config/chunks-plugin.ts';
import { CHROMIUM_FLAGS, findChromium } from './config/chromium.ts';
import { contentPolicy, policyHeaders } from './config/content-policy.ts';
import { notices } from './config/notices-plugin.ts';
import { offline } from './config/offline-plugin.ts';
import { opencv } from './config/opencv-plugin.ts';

const executablePath = findChromium();

/** A slow or busy machine is not a wrong one: what a test waits for is given this long, ms, and the whole test a little longer. Only what never comes costs it. */
const PATIENCE = { expect: { poll: { timeout: 60_000 } }, testTimeout: 240_000, hookTimeout: 240_000 };

export default defineConfig({
  // Relative addresses: the built page works in any folder of any host.
  base: './',
  plugins: [svelte({ configFile: false }), chunks(), opencv(), contentPolicy(), notices(), offline()],
  worker: { format: 'es', plugins: () => [opencv()] },
  build: { target: 'es2022', chunkSizeWarningLimit: 1000 },
  preview: { headers: policyHeaders },
  test: {
    // What a file is translated to is kept between runs, by a digest of its content.
    experimental: { fsModuleCache: true },
    projects: [
      {
        extends: true,
        test: {
          name: 'node',
          environment: 'node',
          include: ['test/**/*.test.ts'],
          exclude: ['test/**/*.browser.test.ts'],
          setupFiles: ['test/support/setup.ts', 'test/support/same-cases.ts'],
          // Files share a process: modules are read, code is made fast and pictures are looked at once. A test that alters what is global puts it back.
          isolate: false,
          ...PATIENCE,
        },
      },
      {
        extends: true,
        test: {
          name: 'browser',
          include: ['test/**/*.browser.test.ts'],
          setupFiles: ['test/support/setup.ts'],
          ...PATIENCE,
          browser: {
            enabled: true,
            headless: true,
            screenshotFailures: false,
            instances: [{ browser: 'chromium' }],
            provider: playwright({
              launchOptions: { args: CHROMIUM_FLAGS, ...(executablePath === undefined ? {} : { executablePath }) },
            }),
          },
        },
      },
    ],
  },
});
