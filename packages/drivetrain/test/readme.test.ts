import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';

const folder = fileURLToPath(new URL('..', import.meta.url));

it('prints what the README says when its example is run on the built package', () => {
  const readme = readFileSync(`${folder}README.md`, 'utf8');
  const [, example, printed] = /```js\n(.*?)```\n\nprints\n\n```\n(.*?)```/s.exec(readme) ?? [];
  const output = execFileSync(process.execPath, ['--input-type=module', '--eval', example], { cwd: folder });
  expect(output.toString()).toBe(printed);
});
