import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { basename, dirname, join, resolve } from 'node:path';
import { expect, it } from 'vitest';

const SOURCE = join(import.meta.dirname, '../src');
const require = createRequire(import.meta.url);
const folderOf = (packageName: string) => dirname(require.resolve(`${packageName}/styles.css`));
const MODULES = join(folderOf('@mantine/core'), 'esm');

/** Every file below a folder whose name ends so. */
function filesBelow(folder: string, ending: string): string[] {
  return readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith(ending))
    .map((name) => join(folder, name));
}

/** What a text imports by name from a package. */
function importedFrom(text: string, packageName: string): string[] {
  const found = text.matchAll(new RegExp(`import \\{([^}]*)\\} from ['"]${packageName}['"]`, 'g'));
  return [...found].flatMap(([, names = '']) => names.split(',').map((name) => name.trim()));
}

/** The sheets that a module of the library and all that it imports are drawn with. */
function sheetsOf(path: string, seen: Set<string>): string[] {
  if (seen.has(path) || !existsSync(path)) return [];
  seen.add(path);
  if (path.endsWith('.module.mjs')) return [basename(path, '.module.mjs')];
  const imports = readFileSync(path, 'utf8').matchAll(/(?:from|import) "(\.[^"]+)"/g);
  return [...imports].flatMap(([, to = '']) => sheetsOf(resolve(dirname(path), to), seen));
}

it('every component in use brings the style sheets that it is drawn with', () => {
  const texts = [
    ...filesBelow(SOURCE, '.tsx').map((path) => readFileSync(path, 'utf8')),
    ...filesBelow(join(folderOf('@mantine/dropzone'), 'esm'), '.mjs').map((path) => readFileSync(path, 'utf8')),
  ];
  const names = new Set(
    texts.flatMap((text) => importedFrom(text, '@mantine/core')).filter((name) => /^[A-Z]/.test(name)),
  );
  const modules = filesBelow(MODULES, '.mjs').filter((path) => names.has(basename(path, '.mjs')));
  expect(modules.length).toBeGreaterThan(20);
  const seen = new Set<string>();
  const needed = new Set(modules.flatMap((path) => sheetsOf(path, seen)));
  const sheets = readFileSync(join(SOURCE, 'theme/mantine.css'), 'utf8').matchAll(/styles\/(\w+)\.css/g);
  const held = [...sheets].map(([, name = '']) => name);
  expect([...needed].filter((name) => !held.includes(name))).toEqual([]);
});
