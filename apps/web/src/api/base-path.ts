/** Path under which the pages are served, with a slash at its end: what `<base href>` of index.html says. */
export const BASE_PATH: string = new URL(document.baseURI).pathname.replace(/[^/]*$/, '');
