import { Button, Group, Select, TextInput } from '@mantine/core';
import type { OfferResponse } from '@syncline/contract';
import { type ReactNode, useState } from 'react';
import { type OfferedFile, type OfferFormat, useAnswerOffer, useDownloadOffer } from '../../api/releases.js';
import { MapsCaution } from '../../parts/caution.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { FORMAT_WORDS } from './release-words.js';
import classes from './releases.module.css';

interface OfferPanelProps {
  readonly offer: OfferResponse;
  readonly carTitle: string;
  /** Whether the caller may download for this car and answer for it. */
  readonly mayAct: boolean;
}

/** What a car is offered now, in words, with what to do: download, install, confirm; or wait; or go back. */
export function OfferPanel({ offer, carTitle, mayAct }: OfferPanelProps) {
  const { kind, release, target, reasons } = offer;
  const words = offerWords(offer, carTitle);
  // That it is held is said already.
  const hindrances = reasons.filter(({ code }) => code !== 'held');
  return (
    <div className={classes.offer} data-kind={kind} role="group" aria-label={`What ${carTitle} is offered`}>
      <p className={classes.offerTitle}>{words.title}</p>
      {words.text}
      {release !== null && kind !== 'current' && <p className={classes.words}>{release.words}</p>}
      {hindrances.length > 0 && kind !== 'current' && (
        <>
          <p>It cannot be downloaded for this car now:</p>
          <ul className={classes.reasons}>
            {hindrances.map(({ code, message }) => (
              <li key={code}>{message}</li>
            ))}
          </ul>
        </>
      )}
      {target !== null && kind !== 'held' && <TargetFacts target={target} />}
      {target !== null && mayAct && reasons.length === 0 && <Acts offer={offer} target={target} />}
      {release !== null && release.answer === 'failed' && kind === 'install' && (
        <p>You said that it could not be installed{release.answerNote && `: “${release.answerNote}”`}.</p>
      )}
    </div>
  );
}

type Target = NonNullable<OfferResponse['target']>;

function offerWords({ kind, release, target }: OfferResponse, car: string): { title: string; text: ReactNode } {
  const label = release?.revisionLabel ?? '';
  switch (kind) {
    case 'none':
      return { title: `Nothing is released to ${car} now`, text: <p>Drive on with what is in it.</p> };
    case 'install':
      return { title: `Install ${label}`, text: null };
    case 'current':
      return { title: `${car} runs what is released to it: ${label}`, text: null };
    case 'held':
      return {
        title: `Wait with ${label}: its release is held`,
        text: (
          <>
            <p>{release?.reason}</p>
            <p>
              If it is not in {car} yet, do not install it. If it is, drive with care and stop when a shift feels wrong.
            </p>
          </>
        ),
      };
    case 'goBack':
      return {
        title: `${label} was recalled: take it out of ${car}`,
        text: (
          <>
            <p>{release?.reason}</p>
            <p>
              {target === null
                ? 'Do not drive with it. Ask a maintainer what the car may run.'
                : `Go back to ${target.revisionLabel}, and do not drive with ${label} until you have.`}
            </p>
          </>
        ),
      };
    default:
      return kind satisfies never;
  }
}

function TargetFacts({ target }: { readonly target: Target }) {
  return (
    <details>
      <summary>Hash and signature of {target.revisionLabel}</summary>
      <dl className={classes.facts}>
        <dt>Content hash (SHA-256)</dt>
        <dd>
          <code className={classes.hash}>{target.contentHash}</code>
        </dd>
        <dt>Signature (Ed25519)</dt>
        <dd>
          <code className={classes.hash}>{target.signature}</code>
        </dd>
        <dt>Key</dt>
        <dd>
          <code className={classes.hash}>{target.keyId}</code>
        </dd>
        <dt>Layout version</dt>
        <dd>{target.layoutVersion}</dd>
      </dl>
    </details>
  );
}

function Acts({ offer, target }: { readonly offer: OfferResponse; readonly target: Target }) {
  const [format, setFormat] = useState<OfferFormat>(target.formats.includes('intelHex') ? 'intelHex' : 'document');
  const [note, setNote] = useState('');
  const download = useDownloadOffer(offer.vehicleId);
  const answer = useAnswerOffer(offer.vehicleId);
  const send = (said: 'installed' | 'failed') =>
    answer.mutate({ answer: said, contentHash: target.contentHash, note }, { onSuccess: () => setNote('') });
  return (
    <>
      <MapsCaution />
      <Group gap="sm" align="flex-end">
        <Select
          label="Format"
          w={240}
          allowDeselect={false}
          data={target.formats.map((value) => ({ value, label: FORMAT_WORDS[value] }))}
          value={format}
          onChange={(value) => setFormat((value ?? 'document') as OfferFormat)}
        />
        <Button loading={download.isPending} onClick={() => download.mutate(format, { onSuccess: saveFile })}>
          Download {target.revisionLabel}
        </Button>
      </Group>
      {download.data !== undefined && (
        <p role="status">
          Saved as {download.data.fileName}. SHA-256 of the file:{' '}
          <code className={classes.hash}>{download.data.sha256}</code>
        </p>
      )}
      {download.error !== null && <ProblemNotice error={download.error} />}
      {offer.kind !== 'current' && (
        <div className={classes.answer}>
          <TextInput
            label="Note (optional)"
            placeholder="what you saw, or why not"
            maxLength={500}
            value={note}
            onChange={(event) => setNote(event.currentTarget.value)}
          />
          <Button
            variant="default"
            loading={answer.isPending && answer.variables.answer === 'installed'}
            onClick={() => send('installed')}
          >
            I installed it
          </Button>
          <Button
            variant="default"
            loading={answer.isPending && answer.variables.answer === 'failed'}
            onClick={() => send('failed')}
          >
            I could not
          </Button>
        </div>
      )}
      {answer.error !== null && <ProblemNotice error={answer.error} />}
    </>
  );
}

function saveFile({ blob, fileName }: OfferedFile): void {
  const url = URL.createObjectURL(blob);
  Object.assign(document.createElement('a'), { href: url, download: fileName }).click();
  URL.revokeObjectURL(url);
}
