import { type RevisionContentDocument, revisionContent } from '@syncline/contract';

type ParsedContent =
  | { readonly content: RevisionContentDocument; readonly fault: null }
  | { readonly content: null; readonly fault: string };

/** Reads a content file, or says what is wrong with it. Limits and shapes of tables are checked by the server. */
export function parseContent(text: string): ParsedContent {
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch (error) {
    return { content: null, fault: `The file is no JSON: ${error instanceof Error ? error.message : String(error)}` };
  }
  const parsed = revisionContent.safeParse(json);
  if (parsed.success) return { content: parsed.data, fault: null };
  const [issue] = parsed.error.issues;
  const where = issue === undefined || issue.path.length === 0 ? 'the document' : issue.path.join(', ');
  return { content: null, fault: `The file is no content of a revision: at ${where}, ${issue?.message ?? 'unknown'}` };
}
