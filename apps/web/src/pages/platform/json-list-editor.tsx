import { Button, FileButton, Group, Text, Textarea } from '@mantine/core';
import { useState } from 'react';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { parseJsonList } from './parse-json-list.js';

interface JsonListEditorProps {
  readonly what: string;
  readonly help: string;
  readonly example: string;
  /** What is saved; null when nothing is. */
  readonly current: readonly unknown[] | null;
  readonly save: {
    readonly mutate: (list: readonly unknown[], options: { onSuccess: () => void }) => void;
    readonly error: unknown;
    readonly isPending: boolean;
    readonly isSuccess: boolean;
  };
  readonly savedWord: string;
}

/** A list as JSON: from a file or typed. What is wrong with it stands entry by entry; what was typed is kept. */
export function JsonListEditor({ what, help, example, current, save, savedWord }: JsonListEditorProps) {
  const [text, setText] = useState<string | null>(null);
  const shown = text ?? (current === null ? '' : JSON.stringify(current, null, 2));
  const parsed = parseJsonList(shown);
  const isAltered = text !== null && text.trim() !== '';
  return (
    <details style={{ marginTop: 12 }}>
      <summary>{current === null ? `Enter the ${what}` : `Alter the ${what}`}</summary>
      <Text size="sm" c="dimmed" maw="90ch" my="xs">
        {help}
      </Text>
      <Textarea
        label={`The ${what} as JSON`}
        placeholder={example}
        autosize
        minRows={8}
        maxRows={24}
        spellCheck={false}
        styles={{ input: { fontFamily: 'var(--mantine-font-family-monospace)', fontSize: 12 } }}
        value={shown}
        error={isAltered && 'fault' in parsed ? parsed.fault : undefined}
        onChange={(event) => setText(event.currentTarget.value)}
      />
      <Group gap="sm" mt="sm">
        <FileButton accept="application/json,.json" onChange={(file) => void file?.text().then(setText)}>
          {(props) => (
            <Button variant="default" {...props}>
              Take from a file
            </Button>
          )}
        </FileButton>
        <Button
          loading={save.isPending}
          disabled={!isAltered || 'fault' in parsed}
          onClick={() => 'list' in parsed && save.mutate(parsed.list, { onSuccess: () => setText(null) })}
        >
          Save as the next version
        </Button>
        <Text size="sm" role="status" c="dimmed">
          {save.isSuccess && text === null && savedWord}
        </Text>
      </Group>
      {save.error !== null && <ProblemNotice error={save.error} />}
    </details>
  );
}
