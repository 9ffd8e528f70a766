/** Where index.html names the files of pages: an element with JSON, `{ [page]: address[] }`, as a build writes it. */
export const PAGE_FILES = 'page-files';

/** Has the browser load the script and the style of a page, which the router asks for only once its own script has run. */
export function loadFilesOf(page: string): void {
  const list = document.getElementById(PAGE_FILES)?.textContent;
  // While the pages are worked on there are no files yet.
  if (list === undefined) return;
  const files = (JSON.parse(list) as Readonly<Record<string, readonly string[]>>)[page] ?? [];
  document.head.append(...files.map(preload));
}

function preload(href: string): HTMLLinkElement {
  const link = document.createElement('link');
  // As the router's own requests, or the browser would load the file a second time.
  link.crossOrigin = '';
  link.rel = href.endsWith('.css') ? 'preload' : 'modulepreload';
  if (href.endsWith('.css')) link.as = 'style';
  link.href = href;
  return link;
}
