import { apiUrl } from '../../api/client.js';
import { Caution } from '../../parts/caution.js';
import classes from './account.module.css';

/** How a program uses a token: one line that sends a drive, and the command that sends a folder. */
export function TokenExample() {
  const server = new URL(apiUrl(''), window.location.href).href.replace(/\/api\/v1$/, '');
  return (
    <div className={classes.example}>
      <p>
        One drive, in one go. Put the line <code>authorization: Bearer TOKEN</code> into a file that only you can read;
        on the command line other programs of the computer would see it:
      </p>
      <pre>
        <code>
          {[
            'curl --data-binary @drive.csv -H @token-header.txt \\',
            '  -H "content-type: application/octet-stream" \\',
            `  "${server}/api/v1/logs?vehicle=CAR&fileName=drive.csv"`,
          ].join('\n')}
        </code>
      </pre>
      <p>
        CAR is the last part of the address of the car’s page. For large files or a bad link use the command that comes
        with the source; it goes on where it stood and watches a folder if told to:
      </p>
      <pre>
        <code>
          {[`syncline-upload --server ${server} \\`, '  --token-file token.txt --vehicle CAR --watch logs/'].join('\n')}
        </code>
      </pre>
      <Caution title="Whoever has a token acts as you">
        Keep it out of chats, tickets and code. If a computer with a token is lost or sold, revoke the token first. Let
        a program send drives after the drive; nobody should look at a screen while driving.
      </Caution>
    </div>
  );
}
