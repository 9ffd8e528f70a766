import { createTransport } from 'nodemailer';

export interface MailSettings {
  /** `smtp:` or `smtps:` with host, port, and name and password where the server asks for them. */
  readonly smtpUrl: string;
  readonly from: string;
}

export interface Mail {
  readonly to: string;
  readonly subject: string;
  /** Plain text. */
  readonly text: string;
}

const TIMEOUT_MS = 20_000;

/** Sends plain text by SMTP, one connection for each message. Rejects with what the server said. */
export function createMailSender({ smtpUrl, from }: MailSettings): (mail: Mail) => Promise<void> {
  const timeouts = { connectionTimeout: TIMEOUT_MS, greetingTimeout: TIMEOUT_MS, socketTimeout: TIMEOUT_MS };
  const transport = createTransport({ url: smtpUrl, ...timeouts });
  return async ({ to, subject, text }) => {
    await transport.sendMail({ from, to, subject, text, disableFileAccess: true, disableUrlAccess: true });
  };
}
