import { readFileSync } from 'node:fs';
import { runInThisContext } from 'node:vm';
import { expect, it } from 'vitest';
import * as api from '../src/index.js';

it('the example of the README runs and says what it should', () => {
  const readme = readFileSync(new URL('../README.md', import.meta.url), 'utf8');
  const [, code = ''] = readme.split(/```(?:js)?\n/);
  const [, names = '', body = ''] = /^import (\{[^}]+\}) from '@syncline\/shifts';\n([\s\S]+)$/.exec(code) ?? [];
  const printed: unknown[][] = [];
  const print = { log: (...words: unknown[]) => printed.push(words) };
  runInThisContext(`(api, console) => { const ${names} = api;\n${body} }`)(api, print);
  expect(printed).toHaveLength(3);
  expect(printed[0]?.slice(0, 3)).toEqual(['1-2', 'complete', 5]);
  expect(printed[1]).toMatchObject([['clean'], { kind: 'estimate', weight: 1 }]);
});
