import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));

/** Who may import whom among our own packages (DEVELOPERS.md shows the same table). */
const MAY_IMPORT: Record<string, readonly string[]> = {
  'packages/contract': [],
  'packages/calibration': [],
  'packages/drivelog': [],
  'packages/shifts': ['calibration', 'drivelog'],
  'packages/fleet': ['calibration', 'shifts'],
  'packages/drivetrain': ['calibration', 'drivelog'],
  'packages/store': ['calibration', 'drivelog', 'fleet', 'shifts'],
  'apps/server': ['calibration', 'contract', 'drivelog', 'drivetrain', 'fleet', 'shifts', 'store'],
  'apps/web': ['calibration', 'contract'],
  'apps/uploader': ['contract'],
};
const PURE = ['calibration', 'drivelog', 'shifts', 'fleet', 'drivetrain'].map((name) => `packages/${name}`);
const IMPURE_PATTERNS: [string, RegExp][] = [
  ['a Node module', /from 'node:[^']+'/],
  ['the process', /\bprocess\./],
  ['the clock', /\bDate\.now\b|\bnew Date\(\)|\bperformance\.now\b/],
  ['unseeded randomness', /\bMath\.random\b|\bcrypto\.getRandomValues\b|\brandomUUID\b/],
];

function sourceFiles(folder: string): string[] {
  return readdirSync(folder).flatMap((name) => {
    const path = join(folder, name);
    if (statSync(path).isDirectory()) return sourceFiles(path);
    return /\.tsx?$/.test(name) ? [path] : [];
  });
}

function importedNames(text: string): string[] {
  return [...text.matchAll(/(?<!['\w])(?:from|import)\s*\(?\s*'([^'\s]+)'/g)].map((match) => match[1] as string);
}

/** Whether a package itself names such a way into it. */
function isEntry(name: string, path: string): boolean {
  const manifest = JSON.parse(readFileSync(join(ROOT, 'packages', name, 'package.json'), 'utf8'));
  return Object.hasOwn(manifest.exports, `.${path}`);
}

/** Lines of code without comments, so that a docstring may speak of a clock. */
function codeOf(text: string): string {
  return text.replace(/\/\*[\s\S]*?\*\//g, '').replace(/^\s*\/\/.*$/gm, '');
}

/** What breaks the rules in one file of a package: a sentence for each. */
function faultsOf(owner: string, path: string, text: string): string[] {
  const where = relative(ROOT, path);
  const faults: string[] = [];
  for (const name of importedNames(text)) {
    const ours = /^@syncline\/([^/]+)(\/.*)?$/.exec(name);
    if (ours?.[2] && !isEntry(ours[1] as string, ours[2])) faults.push(`${where}: deep import of ${name}`);
    if (ours && !MAY_IMPORT[owner]?.includes(ours[1] as string))
      faults.push(`${where}: ${owner} may not import ${name}`);
    if (name.startsWith('.') && name.includes('/packages/')) faults.push(`${where}: relative import across packages`);
    if (owner === 'packages/contract' && !name.startsWith('.') && name !== 'zod')
      faults.push(`${where}: contract imports ${name}`);
  }
  if (PURE.includes(owner)) {
    for (const [what, pattern] of IMPURE_PATTERNS) {
      if (pattern.test(codeOf(text))) faults.push(`${where}: a pure package uses ${what}`);
    }
  }
  return faults;
}

describe('import direction', () => {
  it.each(Object.keys(MAY_IMPORT))('%s imports only what it may', (owner) => {
    const files = sourceFiles(join(ROOT, owner, 'src'));
    expect(files.length).toBeGreaterThan(0);
    expect(files.flatMap((path) => faultsOf(owner, path, readFileSync(path, 'utf8')))).toEqual([]);
  });

  it.each(Object.keys(MAY_IMPORT))('%s declares exactly the packages of ours that it may import', (owner) => {
    const manifest = JSON.parse(readFileSync(join(ROOT, owner, 'package.json'), 'utf8'));
    const declared = Object.keys(manifest.dependencies ?? {}).filter((name) => name.startsWith('@syncline/'));
    const allowed = MAY_IMPORT[owner]?.map((name) => `@syncline/${name}`) ?? [];
    expect(declared.filter((name) => !allowed.includes(name))).toEqual([]);
  });

  it('every workspace has a row in the table', () => {
    const found = ['packages', 'apps'].flatMap((group) =>
      readdirSync(join(ROOT, group)).map((name) => `${group}/${name}`),
    );
    expect(found.sort()).toEqual(Object.keys(MAY_IMPORT).sort());
  });

  it.each([
    ['packages/shifts', "import { openStore } from '@syncline/store';", 'may not import'],
    ['packages/fleet', "import { readFileSync } from 'node:fs';", 'a Node module'],
    ['packages/drivetrain', 'const seed = Date.now();', 'the clock'],
    ['packages/calibration', 'const draw = Math.random();', 'unseeded randomness'],
    ['apps/web', "import { gradeShift } from '@syncline/shifts';", 'may not import'],
    ['apps/server', "import { x } from '@syncline/store/src/x.js';", 'deep import'],
  ])('a fault planted in %s is found: %s', (owner, text, expected) => {
    expect(faultsOf(owner, join(ROOT, owner, 'src/planted.ts'), text).join('\n')).toContain(expected);
  });
});
