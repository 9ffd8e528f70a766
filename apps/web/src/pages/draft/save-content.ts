import type { RevisionContentDocument } from '@syncline/contract';

/** Hands a content to the browser as a file, without the server. */
export function saveContent(fileName: string, content: RevisionContentDocument): void {
  const url = URL.createObjectURL(new Blob([JSON.stringify(content)], { type: 'application/json' }));
  const link = Object.assign(document.createElement('a'), {
    href: url,
    download: fileName.replaceAll(/[^\w.-]+/g, '-'),
  });
  link.click();
  URL.revokeObjectURL(url);
}
