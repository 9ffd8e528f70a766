/**
 * Runs before everything else: while the script of the page is on its way and read, the server works on what the page
 * will show. The small file knows nothing of the page but its path; the page takes the answers or asks by itself.
 */
import { askEarly, keepEarly } from './early-answers.js';
import { FIRST_MATRIX, fileOf, firstAsks, matrixOf, PLATFORMS, proposalAsks } from './first-asks.js';
import { loadFilesOf } from './page-files.js';

const base = new URL(document.baseURI).pathname.replace(/[^/]*$/, '');
const page = decodeURI(location.pathname).slice(base.length).replace(/\/$/, '');
const query = new URLSearchParams(location.search);

const urlOf = (resource: string) => `${base}api/v1${resource}`;

const asked = new Map(firstAsks(page, query).map((resource) => [resource, askEarly(urlOf(resource))]));

const file = fileOf(page);
if (file !== undefined) loadFilesOf(file);

const matrix = asked.get(FIRST_MATRIX);
if (matrix !== undefined) {
  void asked.get(PLATFORMS)?.then((found) => {
    const [first] = (found?.data as { items?: readonly { id: string }[] })?.items ?? [];
    if (first !== undefined) keepEarly(urlOf(matrixOf(first.id)), matrix);
  });
}

const proposal = page.startsWith('proposals/') ? asked.get(`/${page}`) : undefined;
void proposal?.then((found) => {
  if (found === undefined) return;
  for (const resource of proposalAsks(found.data as Parameters<typeof proposalAsks>[0])) void askEarly(urlOf(resource));
});
