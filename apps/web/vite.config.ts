import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { brotliCompressSync, gzipSync } from 'node:zlib';
import react from '@vitejs/plugin-react';
import { defineConfig, type IndexHtmlTransformContext, type Plugin } from 'vite';
import { lazySchemas } from './lazy-schemas.ts';
import { EARLY_PAGES } from './src/early/first-asks.ts';
import { PAGE_FILES } from './src/early/page-files.ts';
import { themeSheet } from './theme-sheet.ts';

const API_ORIGIN = 'http://127.0.0.1:8470';
/** Less than that is not worth a second file (bytes). */
const LEAST_PACKED = 1024;
/** A module that so many pages share comes with each of them: a few kB cost a slow machine less than one more file. */
const SEVERAL_PAGES = 3;
/** What brings a library that draws; it comes after the figures. */
const PLOTS = /[\\/]src[\\/].*(plot|figure|histogram|profiles)/;

/** Packs scripts and styles once, as small as can be, so that the server never spends time on it. */
function packAssets(): Plugin {
  return {
    name: 'pack-assets',
    apply: 'build',
    writeBundle({ dir = '' }, bundle) {
      for (const name of Object.keys(bundle)) {
        if (!/\.(js|css)$/.test(name)) continue;
        const path = join(dir, name);
        const bytes = readFileSync(path);
        if (bytes.length < LEAST_PACKED) continue;
        writeFileSync(`${path}.br`, brotliCompressSync(bytes));
        writeFileSync(`${path}.gz`, gzipSync(bytes, { level: 9 }));
      }
    },
  };
}

const EARLY = 'src/early/early.ts';

/** Puts the script that asks early before all others, as a file of its own: it runs as soon as it is there. */
function loadEarly(): Plugin {
  return {
    name: 'load-early',
    transformIndexHtml: {
      order: 'post',
      handler(html, { bundle }) {
        const lines = bundle === undefined ? [scriptOf(EARLY)] : linesOf(bundle);
        return html.replace(/<base .*/, ['$&', ...lines].join('\n    '));
      },
    },
  };
}

type Bundle = NonNullable<IndexHtmlTransformContext['bundle']>;
type Chunk = Extract<Bundle[string], { type: 'chunk' }>;

const scriptOf = (place: string) => `<script type="module" async crossorigin src="./${place}"></script>`;

/** The early script, after what it loads for the pages that it knows. */
function linesOf(bundle: Bundle): string[] {
  const chunks = Object.values(bundle).filter((file) => file.type === 'chunk');
  // Where two have the same name, the one that a page begins with.
  const byName = new Map(
    chunks.sort((a, b) => Number(a.isEntry) - Number(b.isEntry)).map((chunk) => [chunk.name, chunk]),
  );
  const chunkOf = (name: string) => {
    const chunk = byName.get(name);
    if (chunk === undefined)
      throw new Error(`There is no file of ${name}; does first-asks.ts name a page that is none?`);
    return chunk;
  };
  // What every page loads stands in index.html as it is.
  const common = new Set(filesOf(bundle, chunkOf('index')));
  const ownOf = (page: string) =>
    [...new Set(filesOf(bundle, chunkOf(page)))].filter((name) => !common.has(name)).map((name) => `./${name}`);
  const files = JSON.stringify(Object.fromEntries(EARLY_PAGES.map((page) => [page, ownOf(page)])));
  return [`<script type="application/json" id="${PAGE_FILES}">${files}</script>`, scriptOf(chunkOf('early').fileName)];
}

/** A chunk, its style and all that it imports at once. */
function filesOf(bundle: Bundle, { fileName, viteMetadata, imports }: Chunk): string[] {
  const imported = imports.flatMap((name) => {
    const file = bundle[name];
    return file?.type === 'chunk' ? filesOf(bundle, file) : [];
  });
  return [fileName, ...(viteMetadata?.importedCss ?? []), ...imported];
}

export default defineConfig({
  // Relative links, resolved against <base href> of index.html: the server rewrites that one line to serve below a path.
  base: './',
  plugins: [react(), lazySchemas(), themeSheet(), loadEarly(), packAssets()],
  server: {
    // The API demands a matching Origin on writes, so the proxy speaks as the server's own page would.
    proxy: { '/api': { target: API_ORIGIN, changeOrigin: true, headers: { origin: API_ORIGIN } } },
  },
  build: {
    target: 'es2022',
    chunkSizeWarningLimit: 600,
    rolldownOptions: {
      input: ['index.html', EARLY],
      output: {
        codeSplitting: {
          // Each file costs a request with its headers: what every page needs comes in two, what many need in one.
          groups: [
            { name: 'react', test: /node_modules[\\/](react|react-dom|scheduler)[\\/]/, priority: 50 },
            { name: 'early', test: /src[\\/]early[\\/]/, priority: 60 },
            { name: 'base', tags: ['$initial'], priority: 40 },
            {
              name: 'plot',
              test: /node_modules[\\/](@observablehq|d3|d3-[a-z-]+|internmap|delaunator|robust-predicates|isoformat|interval-tree-1d|binary-search-bounds)[\\/]/,
              priority: 30,
            },
            { name: 'uplot', test: /node_modules[\\/]uplot[\\/]/, priority: 30 },
            { name: 'shared', minShareCount: SEVERAL_PAGES, test: (id) => !PLOTS.test(id), priority: 20 },
          ],
        },
      },
    },
  },
});
