import { Button, Checkbox, Code, CopyButton, Group, Select, Stack, Text, TextInput } from '@mantine/core';
import { createTokenRequest, type MadeToken, TOKEN_SCOPES, type TokenScope } from '@syncline/contract';
import { type FormEvent, useState } from 'react';
import { useMakeToken } from '../../api/tokens.js';
import { SCOPE_WORDS } from '../../format/scope-words.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import classes from './account.module.css';

const LIVES = [
  { value: '30', label: '30 days' },
  { value: '90', label: '90 days' },
  { value: '365', label: '1 year' },
];

/** Makes a token; its secret is shown this once. */
export function MakeToken() {
  const make = useMakeToken();
  const [name, setName] = useState('');
  const [scopes, setScopes] = useState<readonly TokenScope[]>(['upload']);
  const [days, setDays] = useState('90');
  const [fault, setFault] = useState<{ readonly name?: string; readonly scopes?: string }>({});
  const submit = (event: FormEvent) => {
    event.preventDefault();
    const parsed = createTokenRequest.safeParse({ name, scopes, days: Number(days) });
    setFault({
      ...(name.trim() === '' && { name: 'Please fill this in' }),
      ...(scopes.length === 0 && { scopes: 'Choose at least one' }),
    });
    if (parsed.success) make.mutate(parsed.data, { onSuccess: () => setName('') });
  };
  return (
    <>
      <form onSubmit={submit} noValidate>
        <Stack gap="sm">
          <Group align="flex-start" gap="sm">
            <TextInput
              label="Program"
              placeholder="Where it runs, to know it again"
              w={300}
              maxLength={80}
              value={name}
              error={fault.name}
              onChange={(event) => setName(event.currentTarget.value)}
            />
            <Select
              label="Expires after"
              w={150}
              allowDeselect={false}
              data={LIVES}
              value={days}
              onChange={(value) => setDays(value ?? days)}
            />
          </Group>
          <Checkbox.Group
            label="It may"
            value={[...scopes]}
            onChange={(values) => setScopes(values as TokenScope[])}
            error={fault.scopes}
          >
            <Stack gap={6} mt={4}>
              {TOKEN_SCOPES.map((scope) => (
                <Checkbox
                  key={scope}
                  value={scope}
                  label={SCOPE_WORDS[scope].title}
                  description={SCOPE_WORDS[scope].meaning}
                />
              ))}
            </Stack>
          </Checkbox.Group>
          <div>
            <Button type="submit" loading={make.isPending}>
              Make a token
            </Button>
          </div>
        </Stack>
      </form>
      {make.error !== null && <ProblemNotice error={make.error} />}
      {make.data !== undefined && <ShownOnce token={make.data} />}
    </>
  );
}

function ShownOnce({ token }: { readonly token: MadeToken }) {
  return (
    <div className={classes.made} role="status">
      <Text fw={600}>Copy this token now: it is not shown again.</Text>
      <Group gap="sm" wrap="nowrap" align="center">
        <Code className={classes.secret ?? ''}>{token.secret}</Code>
        <CopyButton value={token.secret}>
          {({ copied, copy }) => (
            <Button size="xs" variant="default" style={{ flexShrink: 0 }} onClick={copy}>
              {copied ? 'Copied' : 'Copy'}
            </Button>
          )}
        </CopyButton>
      </Group>
      <Text size="sm" c="dimmed">
        For {token.name}, until <Instant at={token.expiresAt} precision="day" />.
      </Text>
    </div>
  );
}
