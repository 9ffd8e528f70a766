import { expect, it } from 'vitest';
import { theme } from '../src/theme/theme.js';
import { writeTheme } from '../theme-sheet.js';

it('the style sheet of the theme holds its colours and hands our surfaces to the components, in both schemes', () => {
  const sheet = writeTheme();
  const shade = (name: 'accent' | 'gray', index: number) =>
    `--mantine-color-${name}-${index}: ${theme.colors?.[name]?.[index]};`;
  for (const declared of [shade('accent', 7), shade('gray', 3), `--mantine-radius-md: ${theme.radius?.['md']};`]) {
    expect(sheet).toContain(declared);
  }
  expect(sheet.split('--mantine-color-body: var(--paper);')).toHaveLength(3);
  expect(sheet).toContain('.mantine-visible-from-sm');
});
