import { Button } from '@mantine/core';
import type { LayoutDocument, RevisionResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import type { ReactNode } from 'react';
import { revisionContentUrl, revisionExportUrl, signatureQueries } from '../../api/calibrations.js';
import { MapsCaution } from '../../parts/caution.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { ContentHash } from './content-hash.js';
import classes from './review.module.css';
import { revisionLabel } from './revision-label.js';

interface DownloadsSectionProps {
  readonly revision: RevisionResponse;
  readonly layout: LayoutDocument;
}

const TABLE_FORMATS = [
  { format: 'document', title: 'Document, JSON', note: 'All tables with their layout version; can be imported again.' },
  { format: 'csv', title: 'Tables, CSV', note: 'All tables for a spreadsheet; can be imported again.' },
  { format: 'tsv', title: 'Tables, TSV', note: 'The same, parted by tabs.' },
] as const;

const IMAGE_FORMATS = [
  { format: 'intelHex', title: 'Memory image, Intel HEX', note: 'Text records with addresses and checksums.' },
  { format: 'sRecord', title: 'Memory image, S-record', note: 'Text records with addresses and checksums.' },
  { format: 'binary', title: 'Memory image, binary', note: 'The bytes alone, from the start address of the layout.' },
] as const;

/** The revision as files, with what is needed to see that nobody changed them. */
export function DownloadsSection({ revision, layout }: DownloadsSectionProps) {
  const hasImage = layout.image !== undefined;
  return (
    <Section
      title="Downloads"
      note={
        <>
          Content hash (SHA-256) <ContentHash hash={revision.contentHash} />
        </>
      }
    >
      <MapsCaution />
      <ul className={classes.downloads}>
        {TABLE_FORMATS.map(({ format, title, note }) => (
          <Download key={format} title={title} note={note} href={revisionExportUrl(revision.id, format)} />
        ))}
        {IMAGE_FORMATS.map(({ format, title, note }) => (
          <Download
            key={format}
            title={title}
            note={hasImage ? note : 'This layout version has no image map, so no image can be made.'}
            href={hasImage ? revisionExportUrl(revision.id, format) : null}
          />
        ))}
        <Download
          title="Content, canonical JSON"
          note="The very bytes that the hash and the signature are of."
          href={revisionContentUrl(revision.id)}
          fileName={`${fileStem(revision)}.content.json`}
        />
        <SignatureDownloads revision={revision} />
      </ul>
    </Section>
  );
}

function fileStem(revision: RevisionResponse): string {
  return revisionLabel(revision).replaceAll(/[^\p{L}\p{N}._-]+/gu, '-');
}

interface DownloadProps {
  readonly title: string;
  readonly note: ReactNode;
  /** Null where it cannot be had. */
  readonly href: string | null;
  readonly fileName?: string;
}

function Download(props: DownloadProps) {
  return (
    <li>
      <Offer {...props} />
    </li>
  );
}

function Offer({ title, note, href, fileName }: DownloadProps) {
  return (
    <>
      {href === null ? (
        <Button variant="default" size="compact-sm" disabled>
          {title}
        </Button>
      ) : (
        <Button component="a" variant="default" size="compact-sm" href={href} download={fileName ?? true}>
          {title}
        </Button>
      )}
      <p>{note}</p>
    </>
  );
}

/** Signature and public key, as the files that a tool for Ed25519 takes. */
function SignatureDownloads({ revision }: { readonly revision: RevisionResponse }) {
  const signature = useQuery(signatureQueries.one(revision.id));
  const key = useQuery(signatureQueries.key());
  return (
    <>
      <li>
        <QueryView query={signature} skeleton={null}>
          {({ signature: base64, algorithm, keyId }) => (
            <Offer
              title="Signature"
              note={`${algorithm}, 64 bytes, over the content in canonical JSON. Key ${keyId}.`}
              href={`data:application/octet-stream;base64,${base64}`}
              fileName={`${fileStem(revision)}.content.sig`}
            />
          )}
        </QueryView>
      </li>
      <li>
        <QueryView query={key} skeleton={null}>
          {({ publicKeyPem, keyId }) => (
            <Offer
              title="Public key, PEM"
              note={`Key ${keyId} of this server. Fetch it once and keep it: who controls a download must not control the key.`}
              href={`data:application/x-pem-file,${encodeURIComponent(publicKeyPem)}`}
              fileName={`syncline-${keyId}.pem`}
            />
          )}
        </QueryView>
      </li>
    </>
  );
}
