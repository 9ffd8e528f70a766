import { Button, Code, CopyButton, Group, Switch, Textarea } from '@mantine/core';
import type { RecruitmentResponse } from '@syncline/contract';
import { useRouter } from '@tanstack/react-router';
import { useState } from 'react';
import { useChangeRecruitment } from '../../api/applications.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { Section } from '../../parts/section.js';
import classes from './recruitment.module.css';

interface CallSectionProps {
  readonly recruitment: RecruitmentResponse;
  readonly mayChange: boolean;
}

/** The call for testers, and whether the form behind it is open. */
export function CallSection({ recruitment, mayChange }: CallSectionProps) {
  const change = useChangeRecruitment();
  const [callText, setCallText] = useState(recruitment.callText);
  const [isOpen, setOpen] = useState(recruitment.isOpen);
  const { href } = useRouter().buildLocation({ to: '/apply' });
  const address = new URL(href, window.location.origin).href;
  const isChanged = callText !== recruitment.callText || isOpen !== recruitment.isOpen;
  return (
    <Section
      title="Call for testers"
      note={
        recruitment.changedAt === null ? (
          'Suggested from what is lacking now. Nobody has opened the form yet.'
        ) : (
          <>
            Saved by {recruitment.changedByName}, <Instant at={recruitment.changedAt} />.
          </>
        )
      }
    >
      <Textarea
        label="Text"
        description="Stands above the form; copy it for a forum or a letter"
        autosize
        minRows={4}
        maxLength={2000}
        readOnly={!mayChange}
        value={callText}
        onChange={(event) => setCallText(event.currentTarget.value)}
      />
      <Group mt="xs" gap="sm">
        <CopyButton value={callText}>
          {({ copied, copy }) => (
            <Button size="xs" variant="default" onClick={copy}>
              {copied ? 'Copied' : 'Copy the text'}
            </Button>
          )}
        </CopyButton>
        {mayChange && callText !== recruitment.suggestedText && (
          <Button size="xs" variant="default" onClick={() => setCallText(recruitment.suggestedText)}>
            Take the suggested text
          </Button>
        )}
      </Group>
      <Switch
        mt="md"
        label={isOpen ? 'Applications are taken' : 'Applications are not taken'}
        description={
          isOpen
            ? 'Anyone with the address sees this text, the club’s name and its gearboxes.'
            : 'The form tells nothing of the club.'
        }
        disabled={!mayChange}
        checked={isOpen}
        onChange={(event) => setOpen(event.currentTarget.checked)}
      />
      <p className={classes.address}>
        Form: <Code className={classes.code ?? ''}>{address}</Code>
      </p>
      {change.error !== null && <ProblemNotice error={change.error} />}
      {mayChange && (
        <Button
          loading={change.isPending}
          disabled={!isChanged && recruitment.changedAt !== null}
          onClick={() => change.mutate({ isOpen, callText })}
        >
          Save
        </Button>
      )}
    </Section>
  );
}
