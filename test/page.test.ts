import { afterAll, beforeAll, expect, test } from 'vitest';
import { servedPage, type ServedPage } from './support/served-page.ts';

let served: ServedPage;
beforeAll(async () => {
  served = await servedPage();
});
afterAll(() => served.close());

test('the built page starts OpenCV in its worker under a policy that forbids code from text', async () => {
  const page = await served.browser.newPage();
  const complaints: string[] = [];
  page.on('console', (message) => complaints.push(message.text()));
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('requestfailed', (request) => complaints.push(`${request.url()}: ${request.failure()?.errorText}`));
  const policies: (string | undefined)[] = [];
  page.on('response', (response) => {
    if (/\.js$|\/$/.test(response.url())) policies.push(response.headers()['content-security-policy']);
  });
  await page.goto(served.url);
  await page.getByText('Image processing is ready.').waitFor();
  expect(complaints).toEqual([]);
  // The page, its script and the worker's script.
  expect(policies.length).toBeGreaterThanOrEqual(3);
  for (const policy of policies) {
    expect(policy).toMatch(/script-src 'self' 'wasm-unsafe-eval';/);
    expect(policy).toMatch(/connect-src 'self';/);
  }
  expect(await page.locator('meta[http-equiv="Content-Security-Policy"]').getAttribute('content')).toMatch(
    /default-src 'none'/,
  );
  await page.close();
});

test('the policy holds: code from text and other hosts are refused', async () => {
  const page = await served.browser.newPage();
  await page.goto(served.url);
  const refused = await page.evaluate(async () => {
    const blocked: string[] = [];
    document.addEventListener('securitypolicyviolation', (event) => blocked.push(event.effectiveDirective));
    const script = document.createElement('script');
    script.textContent = 'new Function("")()';
    document.head.append(script);
    await fetch('https://example.invalid/').catch(() => undefined);
    await new Promise((resolve) => setTimeout(resolve, 50));
    return blocked;
  });
  expect(refused).toContain('script-src-elem');
  expect(refused).toContain('connect-src');
  await page.close();
});
