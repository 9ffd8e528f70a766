import { Anchor, type AnchorProps, Button, type ButtonProps } from '@mantine/core';
import { createLink } from '@tanstack/react-router';
import type { ComponentProps } from 'react';

type Attributes<Props> = Props & Omit<ComponentProps<'a'>, keyof Props>;

function PlainAnchor(props: Attributes<Omit<AnchorProps, 'href'>>) {
  return <Anchor {...props} />;
}

function ButtonAnchor(props: Attributes<ButtonProps>) {
  return <Button component="a" {...props} />;
}

/** A link to another page of ours, checked against the routes. */
export const TextLink = createLink(PlainAnchor);

/** A link that looks like a button. */
export const ButtonLink = createLink(ButtonAnchor);
