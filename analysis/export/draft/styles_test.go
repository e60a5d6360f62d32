package draft_test

// style is one way in which a plant may name its tags. The names were written
// down, and half of the styles set apart (held), before the rules of this package
// that they score: from the letters of ISA-5.1 (first letter the measured variable,
// then its functions) and from the words that plants of four languages paint on
// their pipes and print over their log sheets. Common practice, no source.
type style struct {
	name  string
	held  bool // looked at once, after the rules stood
	units bool // the export states units
	// names and, after a bar, descriptions; by role. A role that is left out is not
	// instrumented.
	tags map[string]string
}

// Roles are the simulated plant's own tag names.
var styles = []style{
	{"isa, area before letters", false, true, map[string]string{
		"FIT-101": "05-FIT-001", "AIT-301": "30-AIT-012", "FIC-411": "40-FIC-101", "AIT-421": "40-AIT-120", "AIT-422": "40-AIT-121", "AIT-423": "40-AIT-110", "AIT-424": "40-AIT-122",
		"AIT-425": "40-AIT-123", "TIT-426": "40-TIT-123", "FIT-501": "50-FIT-001", "FIC-511": "50-FIC-020", "AIT-521": "50-AIT-030", "AIT-522": "50-AIT-031",
		"LAB-TRC": "CCT EFF TRC", "LAB-FRC": "CCT EFF FRC", "LAB-FIN": "FE TRC", "LAB-ECOLI": "FE E. coli", "LAB-TSS-INF": "RAW TSS", "LAB-TSS-EFF": "FE TSS", "LAB-BOD-INF": "RAW BOD5", "LAB-BOD-EFF": "FE BOD5",
	}},
	{"english words", false, false, map[string]string{
		"FIT-101": "Influent_Flow", "AIT-301": "SecEff_Ammonia", "FIC-411": "Hypo_Feed_Rate", "AIT-421": "CCB_Eff_TotalCl2", "AIT-422": "CCB_Eff_FreeCl2", "AIT-423": "CCB_Mid_ORP", "AIT-424": "CCB_Eff_ORP",
		"AIT-425": "CCB_Eff_pH", "TIT-426": "CCB_Eff_Temp", "FIT-501": "Effluent_Flow", "FIC-511": "SBS_Feed_Rate", "AIT-521": "Final_TotalCl2", "AIT-522": "Final_ORP",
		"LAB-TRC": "Lab_CCB_TotalCl2", "LAB-FRC": "Lab_CCB_FreeCl2", "LAB-FIN": "Lab_Final_TotalCl2", "LAB-ECOLI": "Lab_Final_Ecoli", "LAB-TSS-INF": "Lab_Inf_TSS", "LAB-TSS-EFF": "Lab_Final_TSS", "LAB-BOD-INF": "Lab_Inf_BOD", "LAB-BOD-EFF": "Lab_Final_BOD",
	}},
	{"german", false, true, map[string]string{
		"FIT-101": "Zulauf_Durchfluss", "AIT-301": "Abl_NKB_NH4N", "FIC-411": "Dos_NaOCl_Menge", "AIT-421": "Kontaktb_Abl_ClGes", "AIT-422": "Kontaktb_Abl_ClFrei", "AIT-423": "Kontaktb_Mitte_Redox", "AIT-424": "Kontaktb_Abl_Redox",
		"AIT-425": "Kontaktb_Abl_pH", "TIT-426": "Kontaktb_Abl_Temp", "FIT-501": "Ablauf_Durchfluss", "FIC-511": "Dos_Bisulfit_Menge", "AIT-521": "Ablauf_ClGes", "AIT-522": "Ablauf_Redox",
		"LAB-TRC": "Labor_Kontaktb_ClGes", "LAB-FRC": "Labor_Kontaktb_ClFrei", "LAB-FIN": "Labor_Ablauf_ClGes", "LAB-ECOLI": "Labor_Ablauf_Ecoli", "LAB-TSS-INF": "Labor_Zulauf_AFS", "LAB-TSS-EFF": "Labor_Ablauf_AFS", "LAB-BOD-INF": "Labor_Zulauf_BSB5", "LAB-BOD-EFF": "Labor_Ablauf_BSB5",
	}},
	{"controller points", false, true, map[string]string{
		"FIT-101": "PLC1.AI03.PV", "AIT-301": "PLC1.AI11.PV", "FIC-411": "PLC2.AI01.PV", "AIT-421": "PLC2.AI02.PV", "AIT-422": "PLC2.AI03.PV", "AIT-423": "PLC2.AI04.PV", "AIT-424": "PLC2.AI05.PV",
		"AIT-425": "PLC2.AI06.PV", "TIT-426": "PLC2.AI07.PV", "FIT-501": "PLC2.AI08.PV", "FIC-511": "PLC2.AI09.PV", "AIT-521": "PLC2.AI10.PV", "AIT-522": "PLC2.AI11.PV",
		"LAB-TRC": "TRC-CCB", "LAB-FRC": "FRC-CCB", "LAB-FIN": "TRC-FINAL", "LAB-ECOLI": "ECOLI-FINAL", "LAB-TSS-INF": "TSS-INF", "LAB-TSS-EFF": "TSS-FINAL", "LAB-BOD-INF": "BOD-INF", "LAB-BOD-EFF": "BOD-FINAL",
	}},
	{"spanish", false, true, map[string]string{
		"FIT-101": "CAUDAL_ENTRADA", "AIT-301": "DECANT_SEC_NH4", "FIC-411": "DOSIF_HIPOCLORITO", "AIT-421": "CLORO_TOTAL_SAL_CONTACTO", "AIT-422": "CLORO_LIBRE_SAL_CONTACTO", "AIT-424": "REDOX_SAL_CONTACTO",
		"AIT-425": "PH_SAL_CONTACTO", "TIT-426": "TEMP_SAL_CONTACTO", "FIT-501": "CAUDAL_SALIDA", "FIC-511": "DOSIF_BISULFITO", "AIT-521": "CLORO_TOTAL_VERTIDO", "AIT-522": "REDOX_VERTIDO",
		"LAB-TRC": "LAB_CLORO_TOTAL_CONTACTO", "LAB-FRC": "LAB_CLORO_LIBRE_CONTACTO", "LAB-FIN": "LAB_CLORO_TOTAL_VERTIDO", "LAB-ECOLI": "LAB_ECOLI_VERTIDO", "LAB-TSS-INF": "LAB_SST_ENTRADA", "LAB-TSS-EFF": "LAB_SST_VERTIDO", "LAB-BOD-INF": "LAB_DBO5_ENTRADA", "LAB-BOD-EFF": "LAB_DBO5_VERTIDO",
	}},
	{"isa, four digits, few tags", false, false, map[string]string{
		"FIT-101": "FT1010", "FIC-411": "SC7110", "AIT-421": "AT7210", "AIT-424": "AT7220", "AIT-425": "AT7230", "FIT-501": "FT7300", "FIC-511": "SC7410", "AIT-521": "AT7510",
		"LAB-TRC": "Chlorine before dechlorination", "LAB-FIN": "Final chlorine", "LAB-ECOLI": "E.coli", "LAB-TSS-INF": "Influent TSS", "LAB-TSS-EFF": "Effluent TSS", "LAB-BOD-INF": "Influent BOD", "LAB-BOD-EFF": "Effluent BOD",
	}},
	{"french", true, true, map[string]string{
		"FIT-101": "DEBIT_ENTREE", "AIT-301": "NH4_SORTIE_CLARIF", "FIC-411": "DEBIT_JAVEL", "AIT-421": "CHLORE_TOTAL_SORTIE_CONTACT", "AIT-422": "CHLORE_LIBRE_SORTIE_CONTACT", "AIT-423": "REDOX_MILIEU_CONTACT", "AIT-424": "REDOX_SORTIE_CONTACT",
		"AIT-425": "PH_SORTIE_CONTACT", "TIT-426": "TEMP_SORTIE_CONTACT", "FIT-501": "DEBIT_SORTIE", "FIC-511": "DEBIT_BISULFITE", "AIT-521": "CHLORE_TOTAL_REJET", "AIT-522": "REDOX_REJET",
		"LAB-TRC": "LABO_CHLORE_TOTAL_CONTACT", "LAB-FRC": "LABO_CHLORE_LIBRE_CONTACT", "LAB-FIN": "LABO_CHLORE_TOTAL_REJET", "LAB-ECOLI": "LABO_ECOLI_REJET", "LAB-TSS-INF": "LABO_MES_ENTREE", "LAB-TSS-EFF": "LABO_MES_REJET", "LAB-BOD-INF": "LABO_DBO5_ENTREE", "LAB-BOD-EFF": "LABO_DBO5_REJET",
	}},
	{"running numbers with descriptions", true, true, map[string]string{
		"FIT-101": "T0001|Plant influent flow", "AIT-301": "T0007|Secondary clarifier effluent NH3-N", "FIC-411": "T0012|Sodium hypochlorite pump 1 flow", "AIT-421": "T0015|Contact tank effluent total chlorine", "AIT-422": "T0016|Contact tank effluent free chlorine", "AIT-424": "T0018|Contact tank effluent ORP",
		"AIT-425": "T0019|Contact tank effluent pH", "TIT-426": "T0020|Contact tank effluent temperature", "FIT-501": "T0024|Plant effluent flow", "FIC-511": "T0027|Sodium bisulfite pump flow", "AIT-521": "T0030|Post-dechlor total chlorine", "AIT-522": "T0031|Post-dechlor ORP",
		"LAB-TRC": "Cl2 Total, CCT Eff", "LAB-FRC": "Cl2 Free, CCT Eff", "LAB-FIN": "Cl2 Total, Outfall 001", "LAB-ECOLI": "E. coli, Outfall 001", "LAB-TSS-INF": "TSS, Raw", "LAB-TSS-EFF": "TSS, Outfall 001", "LAB-BOD-INF": "BOD, Raw", "LAB-BOD-EFF": "BOD, Outfall 001",
	}},
	{"isa, elements, numbers by kind", true, true, map[string]string{
		"FIT-101": "FI_01", "AIT-301": "AI_NH3_01", "FIC-411": "FI_HYPO", "AIT-421": "AI_CL2_01", "AIT-422": "AI_CL2_02", "AIT-423": "AI_ORP_01", "AIT-424": "AI_ORP_02",
		"AIT-425": "AI_PH_01", "TIT-426": "TI_01", "FIT-501": "FI_02", "FIC-511": "FI_SBS", "AIT-521": "AI_CL2_03", "AIT-522": "AI_ORP_03",
		"LAB-TRC": "CL2T_1", "LAB-FRC": "CL2F_1", "LAB-FIN": "CL2T_2", "LAB-ECOLI": "ECOLI", "LAB-TSS-INF": "TSS_IN", "LAB-TSS-EFF": "TSS_OUT", "LAB-BOD-INF": "BOD_IN", "LAB-BOD-EFF": "BOD_OUT",
	}},
	{"plain phrases", true, false, map[string]string{
		"FIT-101": "Raw sewage flow MGD", "AIT-301": "Clarified ammonia mg/L", "FIC-411": "Bleach pump gph", "AIT-421": "Chlorine contact chamber residual mg/L", "AIT-424": "Chlorine contact chamber ORP mV",
		"AIT-425": "Chlorine contact chamber pH", "TIT-426": "Chlorine contact chamber temperature degC", "FIT-501": "Final flow MGD", "FIC-511": "Bisulfite pump gph", "AIT-521": "Discharge residual mg/L",
		"LAB-TRC": "Contact chamber residual (DPD)", "LAB-FIN": "Discharge residual (DPD)", "LAB-ECOLI": "Discharge E. coli", "LAB-TSS-INF": "Raw sewage suspended solids", "LAB-TSS-EFF": "Discharge suspended solids", "LAB-BOD-INF": "Raw sewage BOD", "LAB-BOD-EFF": "Discharge BOD",
	}},
	{"portuguese", true, true, map[string]string{
		"FIT-101": "VAZAO_AFLUENTE", "AIT-301": "AMONIA_DECANTADOR", "FIC-411": "DOSAGEM_HIPOCLORITO", "AIT-421": "CLORO_RESIDUAL_TOTAL_TQ_CONTATO", "AIT-424": "ORP_TQ_CONTATO",
		"AIT-425": "PH_TQ_CONTATO", "TIT-426": "TEMPERATURA_TQ_CONTATO", "FIT-501": "VAZAO_EFLUENTE", "FIC-511": "DOSAGEM_BISSULFITO", "AIT-521": "CLORO_RESIDUAL_TOTAL_LANCAMENTO",
		"LAB-TRC": "LAB_CLORO_TQ_CONTATO", "LAB-FIN": "LAB_CLORO_LANCAMENTO", "LAB-ECOLI": "LAB_ECOLI_LANCAMENTO", "LAB-TSS-INF": "LAB_SST_AFLUENTE", "LAB-TSS-EFF": "LAB_SST_LANCAMENTO", "LAB-BOD-INF": "LAB_DBO_AFLUENTE", "LAB-BOD-EFF": "LAB_DBO_LANCAMENTO",
	}},
	{"isa, numbers against the water", true, true, map[string]string{
		"FIT-101": "FE-900", "AIT-301": "AE-610", "FIC-411": "FV-540", "AIT-421": "AE-520", "AIT-422": "AE-521", "AIT-423": "AE-530", "AIT-424": "AE-522",
		"AIT-425": "AE-523", "TIT-426": "TE-524", "FIT-501": "FE-300", "FIC-511": "FV-240", "AIT-521": "AE-210", "AIT-522": "AE-211",
		"LAB-TRC": "LAB 520 TRC", "LAB-FRC": "LAB 520 FRC", "LAB-FIN": "LAB 210 TRC", "LAB-ECOLI": "LAB 210 ECOLI", "LAB-TSS-INF": "LAB 900 TSS", "LAB-TSS-EFF": "LAB 210 TSS", "LAB-BOD-INF": "LAB 900 BOD", "LAB-BOD-EFF": "LAB 210 BOD",
	}},
	{"italian", false, true, map[string]string{
		"FIT-101": "PORTATA_INGRESSO", "AIT-301": "AMMONIACA_USC_SED", "FIC-411": "DOSAGGIO_IPOCLORITO", "AIT-421": "CLORO_RESIDUO_USC_CONTATTO", "AIT-424": "REDOX_USC_CONTATTO",
		"AIT-425": "PH_USC_CONTATTO", "TIT-426": "TEMP_USC_CONTATTO", "FIT-501": "PORTATA_USCITA", "FIC-511": "DOSAGGIO_BISOLFITO", "AIT-521": "CLORO_RESIDUO_SCARICO", "AIT-522": "REDOX_SCARICO",
		"LAB-TRC": "LAB_CLORO_TOT_CONTATTO", "LAB-FIN": "LAB_CLORO_TOT_SCARICO", "LAB-ECOLI": "LAB_ECOLI_SCARICO", "LAB-TSS-INF": "LAB_SST_INGRESSO", "LAB-TSS-EFF": "LAB_SST_SCARICO", "LAB-BOD-INF": "LAB_BOD_INGRESSO", "LAB-BOD-EFF": "LAB_BOD_SCARICO",
	}},
	{"codes of EN 62424", false, true, map[string]string{
		"FIT-101": "FIR 1101", "AIT-301": "QIR 3301", "FIC-411": "FIC 4101", "AIT-421": "QIRC 4201", "AIT-422": "QIR 4202", "AIT-424": "QIR 4204",
		"AIT-425": "QIR 4205", "TIT-426": "TIR 4206", "FIT-501": "FIRQ 5001", "FIC-511": "FIC 5101", "AIT-521": "QIR 5201", "AIT-522": "QIR 5202",
		"LAB-TRC": "Cl2 ges. Kontaktbecken", "LAB-FRC": "Cl2 frei Kontaktbecken", "LAB-FIN": "Cl2 ges. Ablauf", "LAB-ECOLI": "E. coli Ablauf", "LAB-TSS-INF": "AFS Zulauf", "LAB-TSS-EFF": "AFS Ablauf", "LAB-BOD-INF": "BSB5 Zulauf", "LAB-BOD-EFF": "BSB5 Ablauf",
	}},
	{"plain kinds, numbered", false, true, map[string]string{
		"FIT-101": "Flow 1", "AIT-301": "Ammonia", "FIC-411": "Hypo pump", "AIT-421": "Chlorine 1", "AIT-423": "ORP 1", "AIT-424": "ORP 2",
		"AIT-425": "pH", "TIT-426": "Temperature", "FIT-501": "Flow 2", "FIC-511": "Bisulfite pump", "AIT-521": "Chlorine 2", "AIT-522": "ORP 3",
		"LAB-TRC": "Contact chlorine (lab)", "LAB-FIN": "Final chlorine (lab)", "LAB-ECOLI": "E coli", "LAB-TSS-INF": "TSS in", "LAB-TSS-EFF": "TSS out", "LAB-BOD-INF": "BOD in", "LAB-BOD-EFF": "BOD out",
	}},
	{"plant and area before all", false, false, map[string]string{
		"FIT-101": "WRF.HW.Flow.PV", "AIT-301": "WRF.SEC.NH3.PV", "FIC-411": "WRF.CHEM.NaOCl.GPH", "AIT-421": "WRF.CCC1.TRC.PV", "AIT-424": "WRF.CCC1.ORP.PV",
		"AIT-425": "WRF.CCC1.pH.PV", "TIT-426": "WRF.CCC1.Temp.PV", "FIT-501": "WRF.EFF.Flow.PV", "FIC-511": "WRF.CHEM.SBS.GPH", "AIT-521": "WRF.EFF.TRC.PV", "AIT-522": "WRF.EFF.ORP.PV",
		"LAB-TRC": "LIMS.CCC.TRC", "LAB-FIN": "LIMS.EFF.TRC", "LAB-ECOLI": "LIMS.EFF.ECOLI", "LAB-TSS-INF": "LIMS.INF.TSS", "LAB-TSS-EFF": "LIMS.EFF.TSS", "LAB-BOD-INF": "LIMS.INF.BOD", "LAB-BOD-EFF": "LIMS.EFF.BOD",
	}},
}
