/** Prints one card alone (app.css, @media print); what else prints alone is left out for the time. */
export function printOnly(card: HTMLElement | undefined): void {
  if (!card) return;
  const others = [...document.querySelectorAll('.print-this')].filter((one) => one !== card);
  others.forEach((one) => one.classList.remove('print-this'));
  document.documentElement.dataset['print'] = 'card';
  globalThis.print();
  delete document.documentElement.dataset['print'];
  others.forEach((one) => one.classList.add('print-this'));
}
