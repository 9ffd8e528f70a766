/**
 * The layout version that a JSON file says it is for: that of its content, wrapped in a document or bare. Undefined for
 * any other file; the server looks at the rest.
 */
export function layoutVersionOf(text: string): number | undefined {
  if (!/^\s*\{/.test(text)) return undefined;
  try {
    const json = JSON.parse(text) as { layoutVersion?: unknown; content?: { layoutVersion?: unknown } };
    const version = json.content?.layoutVersion ?? json.layoutVersion;
    return typeof version === 'number' ? version : undefined;
  } catch {
    return undefined;
  }
}
