/** Seeing it move: the tool and the joints, by mouse, by key, by number; the numbers are
 *  those of the command line. */
import { expect, middle, settled, shown, test, type, value } from './program';

type Configuration = {
  joints_deg: [number, number];
  direction_deg: { polar: number; azimuth: number };
  lci: number;
  roll_deg: number;
  transmission_angle_deg: number;
  stiffness: { minimum_n_per_m: number };
  holding_torque_nm: [number, number];
};

/** To about three significant digits, as the page writes them. */
const three = (v: number) => {
  const size = Math.abs(v);
  const text = v.toFixed(size >= 100 || size === 0 ? 0 : size >= 10 ? 1 : size >= 1 ? 2 : 3);
  return text === '-0.000' ? '0.000' : text;
};

test('the tool is dragged over the dome with the mouse', async ({ sheet }) => {
  const [polar, azimuth] = [await value(sheet, 'Polar angle, °'), await value(sheet, 'Azimuth, °')];
  const { x, y } = await middle(sheet, 'tool');
  await sheet.mouse.move(x, y);
  await sheet.mouse.down();
  await sheet.mouse.move(x - 52, y + 18, { steps: 8 });
  await sheet.mouse.up();
  await settled(sheet);
  const went = Math.hypot(
    (await value(sheet, 'Polar angle, °')) - polar,
    (((await value(sheet, 'Azimuth, °')) - azimuth + 540) % 360) - 180,
  );
  expect(went).toBeGreaterThan(3);
});

test('the tool is moved with the keys', async ({ sheet }) => {
  const [polar, azimuth] = [await value(sheet, 'Polar angle, °'), await value(sheet, 'Azimuth, °')];
  await sheet.locator('[data-handle="tool"]').focus();
  for (let k = 0; k < 5; k += 1) {
    await sheet.keyboard.press('ArrowDown');
    await settled(sheet);
  }
  expect(await value(sheet, 'Polar angle, °')).toBeCloseTo(polar + 5, 1);
  await sheet.keyboard.press('Shift+ArrowRight');
  await settled(sheet);
  expect(await value(sheet, 'Azimuth, °')).toBeCloseTo(azimuth + 0.1, 2);
});

test('a joint is dragged with the mouse and moved with the keys', async ({ sheet }) => {
  const opening = await value(sheet, 'Joint angle opening, °');
  const joint = sheet.locator('[data-handle="side-left-1"]');
  const { x, y } = await middle(sheet, 'side-left-1');
  await sheet.mouse.move(x, y);
  await sheet.mouse.down();
  await sheet.mouse.move(x + 22, y + 10, { steps: 6 });
  await sheet.mouse.up();
  await settled(sheet);
  const dragged = await value(sheet, 'Joint angle opening, °');
  expect(dragged).not.toBeCloseTo(opening, 1);
  await joint.focus();
  await sheet.keyboard.press('ArrowRight');
  await settled(sheet);
  expect(await value(sheet, 'Joint angle opening, °')).not.toBeCloseTo(dragged, 2);
});

test('numbers typed are reached and equal analyse --json', async ({ sheet, program }) => {
  await type(sheet, 'Polar angle, °', '41.5');
  await settled(sheet);
  await type(sheet, 'Azimuth, °', '123');
  await settled(sheet);
  for (const joints of [null, ['12', '88'], ['-40', '130']] as const) {
    if (joints) {
      await type(sheet, 'Joint angle swing, °', joints[0]);
      await settled(sheet);
      await type(sheet, 'Joint angle opening, °', joints[1]);
      await settled(sheet);
    }
    const words = joints ? ['--joints', joints.join(',')] : ['--direction', '41.5,123'];
    const answer = program.json(
      'analyse',
      'design.toml',
      '--brief',
      'brief.toml',
      ...words,
      '--json',
    );
    const one = (answer.configurations as Configuration[])[0]!;
    expect(await value(sheet, 'Polar angle, °')).toBeCloseTo(one.direction_deg.polar, 2);
    expect(await value(sheet, 'Joint angle opening, °')).toBeCloseTo(one.joints_deg[1], 2);
    expect(await shown(sheet, 'lci')).toBe(one.lci.toFixed(3));
    expect(await shown(sheet, 'roll')).toBe(one.roll_deg.toFixed(1));
    expect(await shown(sheet, 'transmission')).toBe(one.transmission_angle_deg.toFixed(1));
    expect(await shown(sheet, 'stiffness')).toBe(three(one.stiffness.minimum_n_per_m / 1000));
    const torque = await sheet.locator('[data-value="torque"]').innerText();
    expect(torque.replace(/\u2212/g, '-')).toBe(
      `${three(one.holding_torque_nm[0])} and ${three(one.holding_torque_nm[1])} N·m`,
    );
  }
});

test('the requirements equal analyse --json to the last digit shown', async ({
  sheet,
  program,
}) => {
  const answer = program.json('analyse', 'design.toml', '--brief', 'brief.toml', '--json');
  const rows = answer.requirements as Record<string, unknown>[];
  expect(rows.length).toBeGreaterThan(5);
  for (const row of rows) {
    const load = row.load ? `[data-load="${row.load}"]` : '';
    const cell = sheet.locator(
      `[data-testid="requirements"] tr[data-quantity="${row.quantity}"]${load} td:nth-child(3)`,
    );
    const text = (await cell.innerText()).replace(/\u2212/g, '-');
    const key = Object.keys(row).find(
      (one) => one === 'predicted' || one.startsWith('predicted_'),
    )!;
    const got = row[key] as number | null;
    if (got === null) {
      expect(text).toBe('no value');
      continue;
    }
    const number = text.replace(/\s.*$|°$/, '');
    const digits = number.split('.')[1]?.length ?? 0;
    expect(number, String(row.quantity)).toBe(got.toFixed(digits));
  }
});

test('a direction out of reach shows the nearest and says so', async ({ sheet }) => {
  await type(sheet, 'Polar angle, °', '150');
  await expect(sheet.getByText(/out of reach: nearest/)).toBeVisible();
});
