import { MantineProvider } from '@mantine/core';
import { createElement } from 'react';
import { renderToStaticMarkup } from 'react-dom/server';
import type { Plugin } from 'vite';
import { cssVariables, theme } from './src/theme/theme.ts';

const NAME = 'virtual:theme.css';
const STYLE = /<style data-mantine-styles="[^"]*">(.*?)<\/style>/gs;

/** The colours and sizes of the theme as a style sheet. Written by each page for itself, they cost a slow machine 70 ms. */
export function themeSheet(): Plugin {
  return {
    name: 'theme-sheet',
    resolveId: (id) => (id === NAME ? id : null),
    load: (id) => (id === NAME ? writeTheme() : null),
  };
}

/** What Mantine itself puts into a page. */
export function writeTheme(): string {
  const page = renderToStaticMarkup(createElement(MantineProvider, { theme, cssVariablesResolver: cssVariables }));
  return [...page.matchAll(STYLE)].map(([, sheet]) => sheet).join('\n');
}
