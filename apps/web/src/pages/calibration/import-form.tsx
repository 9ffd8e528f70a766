import { Button, Group, Select, Stack, Text, TextInput } from '@mantine/core';
import { Dropzone } from '@mantine/dropzone';
import '@mantine/dropzone/styles.css';
import { useQuery } from '@tanstack/react-query';
import { useNavigate } from '@tanstack/react-router';
import { useState } from 'react';
import { ApiProblem } from '../../api/api-problem.js';
import { calibrationQueries } from '../../api/calibrations.js';
import { useImport } from '../../api/drafts.js';
import { platformQueries } from '../../api/platforms.js';
import { formatBytes } from '../../format/quantity.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import classes from './calibration.module.css';
import { importProblemWords } from './import-words.js';
import { layoutVersionOf } from './layout-version-of.js';
import { lineAfter } from './lines.js';

interface ImportFormProps {
  readonly calibrationId: string;
  readonly platformId: string;
  /** Revision that the tables of a file with some tables only are laid over. */
  readonly parentId: string | undefined;
  readonly onClose: () => void;
}

/** The largest file that the server reads (bytes). */
const MAX_BYTES = 16 * 1024 * 1024;

/** Which file, over which revision, for which layout. */
export function ImportForm({ calibrationId, platformId, parentId, onClose }: ImportFormProps) {
  const [file, setFile] = useState<File | null>(null);
  /** The layout version that the file itself names. */
  const [named, setNamed] = useState<number | undefined>(undefined);
  const [parent, setParent] = useState<string | null>(parentId ?? null);
  const [version, setVersion] = useState<string | null>(null);
  const [line, setLine] = useState<string | null>(null);
  const calibration = useQuery(calibrationQueries.one(calibrationId));
  const platform = useQuery(platformQueries.one(platformId));
  const importing = useImport(calibrationId);
  const navigate = useNavigate();
  const versions = [...(platform.data?.layoutVersions ?? [])].sort((a, b) => b - a).map(String);
  const parentVersion = calibration.data?.revisions.find(({ id }) => id === parent)?.layoutVersion;
  const goesOn = calibration.data && parent !== null ? lineAfter(calibration.data, parent) : 'main';
  const take = async (next: File) => {
    importing.reset();
    setFile(next);
    setNamed(layoutVersionOf(await next.text()));
  };
  const send = () =>
    file !== null &&
    importing.mutate(
      {
        file,
        parent: parent ?? undefined,
        layoutVersion: named ?? (parent === null && version !== null ? Number(version) : undefined),
        line: line ?? (goesOn === '' ? undefined : goesOn),
      },
      {
        onSuccess: ({ id }) => {
          onClose();
          void navigate({ to: '/drafts/$draftId', params: { draftId: id } });
        },
      },
    );
  return (
    <Stack gap="sm">
      <FileField file={file} named={named} onTake={(next) => void take(next)} />
      <Select
        label="Laid over"
        description="The parent of the draft; what the file does not hold is taken from there"
        placeholder="Nothing: the file holds all tables"
        clearable
        clearButtonProps={{ 'aria-label': 'Lay it over nothing' }}
        data={[...(calibration.data?.revisions ?? [])]
          .sort((a, b) => b.number - a.number)
          .map(({ id, number, message }) => ({ value: id, label: `r${number}: ${message}` }))}
        value={parent}
        onChange={(next) => {
          setParent(next);
          setLine(null);
        }}
      />
      {named !== undefined && parentVersion !== undefined && named !== parentVersion && (
        <Text size="sm">
          The file is for layout version {named}, that revision for {parentVersion}: nothing can be taken from it.
        </Text>
      )}
      {named === undefined && parent === null && versions.length > 1 && (
        <Select
          label="Layout version"
          data={versions}
          value={version ?? versions[0] ?? null}
          allowDeselect={false}
          onChange={setVersion}
        />
      )}
      {goesOn === '' && (
        <TextInput
          label="Line"
          description="The line of that revision goes on from there already: give the branch a name"
          value={line ?? ''}
          onChange={(event) => setLine(event.currentTarget.value)}
        />
      )}
      {importing.error !== null && <ImportFault error={importing.error} />}
      <Group justify="flex-end">
        <Button disabled={file === null} loading={importing.isPending} onClick={send}>
          Import into a new draft
        </Button>
      </Group>
    </Stack>
  );
}

interface FileFieldProps {
  readonly file: File | null;
  readonly named: number | undefined;
  readonly onTake: (file: File) => void;
}

/** The file, dropped or chosen, and what can be told of it before it is sent. */
function FileField({ file, named, onTake }: FileFieldProps) {
  const [refusal, setRefusal] = useState<string | null>(null);
  return (
    <>
      <Dropzone
        className={classes.drop ?? ''}
        multiple={false}
        maxSize={MAX_BYTES}
        onDrop={([dropped]) => {
          setRefusal(null);
          if (dropped !== undefined) onTake(dropped);
        }}
        onReject={([rejected]) =>
          setRefusal(`${rejected?.file.name ?? 'The file'} cannot be taken: ${rejected?.errors[0]?.message ?? ''}.`)
        }
        inputProps={{ 'aria-label': 'File with tables or a memory image' }}
      >
        <Text ta="center" size="sm">
          {file === null ? (
            'Drop a file here, or press to choose one'
          ) : (
            <>
              <strong>{file.name}</strong>, {formatBytes(file.size)}
              {named !== undefined && `, for layout version ${named}`}. Press to choose another.
            </>
          )}
        </Text>
      </Dropzone>
      {refusal !== null && (
        <Text size="sm" c="var(--fault)" role="alert">
          {refusal}
        </Text>
      )}
      <Text size="sm" c="dimmed">
        A document (JSON), tables (CSV or TSV), or a memory image (Intel HEX, S-record, binary). The format is
        recognised by the content. The file becomes a draft of its own; no revision or other draft is touched.
      </Text>
    </>
  );
}

/** Why the file was not taken: each place in it that has to be mended. A single one stands in the notice itself. */
function ImportFault({ error }: { readonly error: Error }) {
  const problems = error instanceof ApiProblem ? (error.document.importProblems ?? []) : [];
  return (
    <div>
      <ProblemNotice error={error} />
      {problems.length > 1 && (
        <ul className={classes.importProblems}>
          {problems.map((problem) => {
            const words = importProblemWords(problem);
            return <li key={words}>{words}</li>;
          })}
        </ul>
      )}
    </div>
  );
}
