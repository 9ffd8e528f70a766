import { expect, it } from 'vitest';
import { clientWords } from '../src/format/client-words.js';

// As current browsers name themselves; from memory, with the version left to each.
it.each([
  ['Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0', 'Firefox 140 on Linux'],
  [
    'Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/141.0.0.0 Safari/537.36',
    'Chromium 141 on Windows',
  ],
  [
    'Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/141.0.0.0 Safari/537.36 Edg/141.0.0.0',
    'Edge 141 on Windows',
  ],
  [
    'Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/18.5 Mobile/15E148 Safari/604.1',
    'Safari 18 on iOS',
  ],
  [
    'Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/18.5 Safari/605.1.15',
    'Safari 18 on macOS',
  ],
  [
    'Mozilla/5.0 (Linux; Android 15; K) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/141.0.0.0 Mobile Safari/537.36',
    'Chromium 141 on Android',
  ],
  ['curl/8.5.0', 'curl/8.5.0'],
  ['', 'a program that names no browser'],
])('a browser that says %j is called %j', (userAgent, words) => {
  expect(clientWords(userAgent)).toBe(words);
});

it('what is no known browser is shown as it is, cut to a line', () => {
  expect(clientWords('x'.repeat(500))).toHaveLength(60);
});
