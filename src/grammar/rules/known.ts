/** Talkers of positioning systems that the standard has (NMEA 0183 4.11, second hand). */
const SYSTEM_TALKERS = 'GP GL GA GB BD GQ GI GN';
/** Talkers of other equipment that the standard has (from memory). */
const OTHER_TALKERS =
  'AB AD AG AI AN AP AR AS AT AX BI BN CA CD CR CS CT CV CX DE DF DM DP DU EC EI EP ER FD FE FR FS HC HD HE HF HN ' +
  'HS II IN JA JB JC JD JE JF JG JH LC MP MX NL NV NW OM RA RB RC RI SA SC SD SG SI SN SS TC TI TR U0 U1 U2 U3 U4 ' +
  'U5 U6 U7 U8 U9 UP VA VD VM VR VS VT VW WD WI WL YX ZA ZC ZI ZQ ZV';

export const STANDARD_TALKERS: ReadonlySet<string> = new Set(`${SYSTEM_TALKERS} ${OTHER_TALKERS}`.split(' '));

/** Under which modules list QZSS, beside GQ (seen in open logs). */
export const VARIANT_TALKERS: ReadonlySet<string> = new Set(['PQ', 'QZ']);

/** Formatters of the standard that are not judged field by field (from memory). */
export const OTHER_FORMATTERS: ReadonlySet<string> = new Set(
  (
    'AAM ABK ABM ACA ACK ACN ACS ADS AIR AKD ALA ALC ALF ALM ALR APA APB ARC ASD BBM BEC BOD BWC BWR BWW CBR CUR ' +
    'DBK DBS DBT DCN DDC DOR DPT DSC DSE DSI DSR ETL EPV EVE FIR FSI GFA GGK GLC GRM GXA HBT HCR HDG HDM HFB HMR ' +
    'HMS HRM HSC HSS HTC HTD ITS LCD LR1 LR2 LR3 LRF LRI MDA MEB MLA MSK MSS MTA MTW MWD MWH MWV NAK NRM NRX NSR ' +
    'OLN OSD POS PRC RLM RMA RMB ROO ROR RPM RSA RSD RTE SFI SSD STN TDS TFI TFR THS TLB TLL TPC TPR TPT TRC TRD ' +
    'TRF TRS TTD TTM TUT TXT UID VBC VDM VDO VDR VER VHW VLW VPW VSD VSI VTA VWR VWT WAT WCV WNC WPL XDR XTE XTR ' +
    'ZDL ZFI ZFO ZPI ZTA ZTE ZTG'
  ).split(' '),
);
