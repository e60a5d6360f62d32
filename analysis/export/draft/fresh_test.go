package draft_test

// Styles written down in a second round, again before the rules that they score.
// Of those with count set only the counts were looked at. Beside the simulated
// plant's tags they name others that a plant has (others_test.go): X-….
var fresh = []freshStyle{
	{"isa behind an area, with descriptions", false, style{units: true, tags: map[string]string{
		"FIT-101": "100-FIT-1201|RAW SEWAGE FLOW", "AIT-301": "300-AIT-3105|SEC CLARIFIER EFF AMMONIA", "FIC-411": "410-FIT-4102|HYPOCHLORITE FEED TO CHLORINE CONTACT", "AIT-421": "410-AIT-4120|CHLORINE CONTACT EFF TOTAL RESIDUAL", "AIT-422": "410-AIT-4121|CHLORINE CONTACT EFF FREE RESIDUAL", "AIT-423": "410-AIT-4115|CHLORINE CONTACT PASS 2 ORP", "AIT-424": "410-AIT-4122|CHLORINE CONTACT EFF ORP",
		"AIT-425": "410-AIT-4123|CHLORINE CONTACT EFF PH", "TIT-426": "410-TIT-4124|CHLORINE CONTACT EFF TEMP", "FIT-501": "500-FIT-5001|PLANT EFF FLOW", "FIC-511": "420-FIT-4202|SODIUM BISULFITE FEED", "AIT-521": "500-AIT-5010|FINAL EFF TOTAL RESIDUAL", "AIT-522": "500-AIT-5011|FINAL EFF ORP",
		"LAB-TRC": "LAB-CCEFF-TRC|CONTACT EFF TRC GRAB", "LAB-FIN": "LAB-FE-TRC|FINAL EFF TRC GRAB", "LAB-ECOLI": "LAB-FE-EC|FINAL EFF E COLI", "LAB-TSS-INF": "LAB-INF-TSS|INFLUENT TSS COMP", "LAB-TSS-EFF": "LAB-FE-TSS|FINAL EFF TSS COMP", "LAB-BOD-INF": "LAB-INF-BOD|INFLUENT BOD COMP", "LAB-BOD-EFF": "LAB-FE-BOD|FINAL EFF BOD COMP",
		"X-INF-PH": "100-AIT-1203|RAW SEWAGE PH", "X-AER-DO": "200-AIT-2101|AERATION BASIN DO", "X-RAS": "300-FIT-3201|RAS FLOW", "X-WAS": "300-FIT-3301|WAS FLOW", "X-HTANK": "410-LIT-4101|HYPO STORAGE TANK LEVEL", "X-SP": "410-AIC-4120-SP|CHLORINE RESIDUAL SETPOINT", "X-FIN-DO": "500-AIT-5012|FINAL EFF DO",
	}}},
	{"english headings", false, style{tags: map[string]string{
		"FIT-101": "Influent Flow (MGD)", "AIT-301": "Secondary Effluent NH3-N (mg/L)", "FIC-411": "Hypochlorite Feed (gph)", "AIT-421": "CCT Effluent Total Cl2 (mg/L)", "AIT-423": "CCT Midpoint ORP (mV)", "AIT-424": "CCT Effluent ORP (mV)",
		"AIT-425": "CCT Effluent pH", "TIT-426": "CCT Effluent Temp (deg C)", "FIT-501": "Effluent Flow (MGD)", "FIC-511": "Bisulfite Feed (gph)", "AIT-521": "Dechlorinated Effluent Total Cl2 (mg/L)", "AIT-522": "Dechlorinated Effluent ORP (mV)",
		"LAB-TRC": "Lab: CCT Effluent TRC", "LAB-FIN": "Lab: Outfall TRC", "LAB-ECOLI": "Lab: Outfall E. coli", "LAB-TSS-INF": "Lab: Influent TSS", "LAB-TSS-EFF": "Lab: Outfall TSS", "LAB-BOD-INF": "Lab: Influent BOD5", "LAB-BOD-EFF": "Lab: Outfall BOD5",
		"X-INF-PH": "Influent pH", "X-INF-TEMP": "Influent Temp (deg C)", "X-SEC-TURB": "Secondary Effluent Turbidity (NTU)", "X-IN-TRC": "CCT Influent Total Cl2 (mg/L)", "X-FIN-PH": "Outfall pH", "X-HTANK": "Hypo Tank Level (ft)", "X-STANK": "Bisulfite Tank Level (ft)", "X-RUN": "Hypo Pump 1 Running",
	}}},
	{"path of a controller", false, style{units: true, tags: map[string]string{
		"FIT-101": "WWTP/Headworks/FE_101/Value", "AIT-301": "WWTP/Secondary/AE_310/Value", "FIC-411": "WWTP/Chlorination/FE_401/Value", "AIT-421": "WWTP/Chlorination/AE_410/Value", "AIT-422": "WWTP/Chlorination/AE_411/Value", "AIT-424": "WWTP/Chlorination/AE_412/Value",
		"AIT-425": "WWTP/Chlorination/AE_413/Value", "TIT-426": "WWTP/Chlorination/TE_413/Value", "FIT-501": "WWTP/Effluent/FE_501/Value", "FIC-511": "WWTP/Dechlorination/FE_450/Value", "AIT-521": "WWTP/Dechlorination/AE_460/Value", "AIT-522": "WWTP/Dechlorination/AE_461/Value",
		"LAB-TRC": "LIMS/Contact Basin/TRC", "LAB-FRC": "LIMS/Contact Basin/FRC", "LAB-FIN": "LIMS/Outfall/TRC", "LAB-ECOLI": "LIMS/Outfall/ECOLI", "LAB-TSS-INF": "LIMS/Raw/TSS", "LAB-TSS-EFF": "LIMS/Outfall/TSS", "LAB-BOD-INF": "LIMS/Raw/BOD5", "LAB-BOD-EFF": "LIMS/Outfall/BOD5",
		"X-INF-PH": "WWTP/Headworks/AE_102/Value", "X-AER-DO": "WWTP/Aeration/AE_210/Value", "X-RAS": "WWTP/Secondary/FE_320/Value", "X-FIN-PH": "WWTP/Effluent/AE_502/Value", "X-HTANK": "WWTP/Chlorination/LE_402/Value", "X-RUN": "WWTP/Chlorination/P_401/Running",
	}}},
	{"run together", false, style{tags: map[string]string{
		"FIT-101": "INFFLOW", "FIC-411": "HYPOFLOW", "AIT-421": "CCBTRC", "AIT-422": "CCBFRC", "AIT-424": "CCBORP",
		"AIT-425": "CCBPH", "TIT-426": "CCBTEMP", "FIT-501": "EFFFLOW", "FIC-511": "SBSFLOW", "AIT-521": "EFFTRC", "AIT-522": "EFFORP",
		"LAB-TRC": "LABCCBTRC", "LAB-FIN": "LABEFFTRC", "LAB-ECOLI": "LABEFFECOLI", "LAB-TSS-INF": "LABINFTSS", "LAB-TSS-EFF": "LABEFFTSS", "LAB-BOD-INF": "LABINFBOD", "LAB-BOD-EFF": "LABEFFBOD",
		"X-INF-PH": "INFPH", "X-RAS": "RASFLOW", "X-WAS": "WASFLOW", "X-AER-DO": "AERDO", "X-FIN-DO": "EFFDO", "X-FIN-PH": "EFFPH",
	}}},
	{"spanish, isa with descriptions", false, style{units: true, tags: map[string]string{
		"FIT-101": "FT-001|Caudal de agua cruda", "AIT-301": "AT-012|Amonio salida decantador", "FIC-411": "FT-031|Dosificación de hipoclorito de sodio", "AIT-421": "AT-033|Cloro residual total salida tanque de contacto", "AIT-422": "AT-034|Cloro residual libre salida tanque de contacto", "AIT-423": "AT-032|Redox mitad tanque de contacto", "AIT-424": "AT-035|Redox salida tanque de contacto",
		"AIT-425": "AT-036|pH salida tanque de contacto", "TIT-426": "TT-036|Temperatura salida tanque de contacto", "FIT-501": "FT-041|Caudal de efluente", "FIC-511": "FT-042|Dosificación de bisulfito", "AIT-521": "AT-043|Cloro residual total descarga", "AIT-522": "AT-044|Redox descarga",
		"LAB-TRC": "LAB-01|Cloro residual total tanque de contacto", "LAB-FIN": "LAB-02|Cloro residual total descarga", "LAB-ECOLI": "LAB-03|E. coli descarga", "LAB-TSS-INF": "LAB-04|SST agua cruda", "LAB-TSS-EFF": "LAB-05|SST descarga", "LAB-BOD-INF": "LAB-06|DBO5 agua cruda", "LAB-BOD-EFF": "LAB-07|DBO5 descarga",
		"X-INF-PH": "AT-002|pH agua cruda", "X-RAS": "FT-015|Caudal recirculación de lodos", "X-WAS": "FT-016|Caudal purga de lodos", "X-HTANK": "LT-030|Nivel tanque hipoclorito", "X-FIN-DO": "AT-045|Oxígeno disuelto descarga",
	}}},
	{"german, keys with descriptions", false, style{units: true, tags: map[string]string{
		"FIT-101": "1.10.FI01|Zulaufmenge Kläranlage", "AIT-301": "1.30.QI02|Ammonium Ablauf Nachklärung", "FIC-411": "1.40.FI01|Dosiermenge Natriumhypochlorit", "AIT-421": "1.40.QI03|Gesamtchlor Ablauf Kontaktbecken", "AIT-422": "1.40.QI04|Freies Chlor Ablauf Kontaktbecken", "AIT-424": "1.40.QI05|Redoxspannung Ablauf Kontaktbecken",
		"AIT-425": "1.40.QI06|pH-Wert Ablauf Kontaktbecken", "TIT-426": "1.40.TI06|Wassertemperatur Ablauf Kontaktbecken", "FIT-501": "1.50.FI01|Ablaufmenge Kläranlage", "FIC-511": "1.45.FI01|Dosiermenge Bisulfit", "AIT-521": "1.50.QI02|Gesamtchlor Einleitung", "AIT-522": "1.50.QI03|Redoxspannung Einleitung",
		"LAB-TRC": "L01|Gesamtchlor Kontaktbecken", "LAB-FIN": "L02|Gesamtchlor Einleitung", "LAB-ECOLI": "L03|E. coli Einleitung", "LAB-TSS-INF": "L04|AFS Zulauf", "LAB-TSS-EFF": "L05|AFS Ablauf", "LAB-BOD-INF": "L06|BSB5 Zulauf", "LAB-BOD-EFF": "L07|BSB5 Ablauf",
		"X-INF-PH": "1.10.QI02|pH-Wert Zulauf", "X-AER-DO": "1.20.QI01|Sauerstoff Belebung", "X-RAS": "1.35.FI01|Rücklaufschlammmenge", "X-WAS": "1.36.FI01|Überschussschlammmenge", "X-HTANK": "1.40.LI02|Füllstand Natriumhypochlorit",
	}}},
	{"numbers alone, with descriptions", false, style{tags: map[string]string{
		"FIT-101": "1001|Inf flow", "AIT-301": "1014|NH3 leaving clarifiers", "FIC-411": "1020|NaOCl dosed", "AIT-421": "1022|Cl2 total, end of contact channel", "AIT-424": "1024|ORP, end of contact channel",
		"AIT-425": "1025|pH, end of contact channel", "TIT-426": "1026|Water temp, end of contact channel", "FIT-501": "1030|Final flow", "FIC-511": "1032|SBS dosed", "AIT-521": "1034|Cl2 total, after SBS", "AIT-522": "1035|ORP, after SBS",
		"LAB-TRC": "2001|Cl2 total, end of contact channel, DPD", "LAB-FIN": "2002|Cl2 total, after SBS, DPD", "LAB-ECOLI": "2003|E. coli, outfall", "LAB-TSS-INF": "2004|TSS, inf", "LAB-TSS-EFF": "2005|TSS, outfall", "LAB-BOD-INF": "2006|BOD, inf", "LAB-BOD-EFF": "2007|BOD, outfall",
		"X-INF-PH": "1002|pH, inf", "X-SEC-PH": "1015|pH leaving clarifiers", "X-RAS": "1011|RAS flow", "X-STANK": "1031|SBS tank level", "X-SUM": "1036|Final flow, total since start",
	}}},
	{"isa alone, hundreds along the water", false, style{units: true, tags: map[string]string{
		"FIT-101": "FIT-102", "AIT-301": "AIT-410", "FIC-411": "FIT-605", "AIT-421": "AIT-611", "AIT-422": "AIT-612", "AIT-423": "AIT-608", "AIT-424": "AIT-613",
		"AIT-425": "AIT-614", "TIT-426": "TIT-614", "FIT-501": "FIT-620", "FIC-511": "FIT-655", "AIT-521": "AIT-661", "AIT-522": "AIT-662",
		"LAB-TRC": "S6 TRC", "LAB-FIN": "S7 TRC", "LAB-ECOLI": "S7 ECOLI", "LAB-TSS-INF": "S1 TSS", "LAB-TSS-EFF": "S7 TSS", "LAB-BOD-INF": "S1 BOD", "LAB-BOD-EFF": "S7 BOD",
		"X-INF-PH": "AIT-104", "X-INF-TEMP": "TIT-104", "X-RAS": "FIT-430", "X-WAS": "FIT-440", "X-AER-DO": "AIT-310", "X-HTANK": "LIT-601", "X-STANK": "LIT-651", "X-FIN-DO": "AIT-663", "X-FIN-PH": "AIT-664",
	}}},
	{"isa behind letters of an area", true, style{units: true, tags: map[string]string{
		"FIT-101": "HW-FIT-0103", "AIT-301": "SC-AIT-0310", "FIC-411": "CL-FIC-0402", "AIT-421": "CL-AIT-0410", "AIT-422": "CL-AIT-0411", "AIT-424": "CL-AIT-0412",
		"AIT-425": "CL-AIT-0413", "TIT-426": "CL-TIT-0413", "FIT-501": "EF-FIT-0501", "FIC-511": "DC-FIC-0602", "AIT-521": "DC-AIT-0610", "AIT-522": "DC-AIT-0611",
		"LAB-TRC": "CCT-TRC-G", "LAB-FIN": "FE-TRC-G", "LAB-ECOLI": "FE-ECOLI-G", "LAB-TSS-INF": "RI-TSS-C", "LAB-TSS-EFF": "FE-TSS-C", "LAB-BOD-INF": "RI-BOD-C", "LAB-BOD-EFF": "FE-BOD-C",
		"X-INF-PH": "HW-AIT-0104", "X-AER-DO": "AB-AIT-0201", "X-RAS": "SC-FIT-0320", "X-WAS": "SC-FIT-0330", "X-FIN-DO": "EF-AIT-0502", "X-HTANK": "CL-LIT-0401",
	}}},
	{"small letters, units at the end", true, style{tags: map[string]string{
		"FIT-101": "raw_flow_mgd", "AIT-301": "clarifier_nh3_mgl", "FIC-411": "hypo_gph", "AIT-421": "contact_out_cl2_total_mgl", "AIT-422": "contact_out_cl2_free_mgl", "AIT-423": "contact_mid_orp_mv", "AIT-424": "contact_out_orp_mv",
		"AIT-425": "contact_out_ph", "TIT-426": "contact_out_temp_c", "FIT-501": "final_flow_mgd", "FIC-511": "sbs_gph", "AIT-521": "outfall_cl2_total_mgl", "AIT-522": "outfall_orp_mv",
		"LAB-TRC": "lab_contact_out_trc", "LAB-FIN": "lab_outfall_trc", "LAB-ECOLI": "lab_outfall_ecoli", "LAB-TSS-INF": "lab_raw_tss", "LAB-TSS-EFF": "lab_outfall_tss", "LAB-BOD-INF": "lab_raw_bod", "LAB-BOD-EFF": "lab_outfall_bod",
		"X-INF-PH": "raw_ph", "X-INF-TEMP": "raw_temp_c", "X-IN-TRC": "contact_in_cl2_total_mgl", "X-SEC-TURB": "clarifier_turb_ntu", "X-FIN-PH": "outfall_ph", "X-HTANK": "hypo_tank_ft",
	}}},
	{"dotted path in words", true, style{units: true, tags: map[string]string{
		"FIT-101": "Riverside.Preliminary.RawFlow.Value", "AIT-301": "Riverside.SecondaryClarifiers.Ammonia.Value", "FIC-411": "Riverside.Disinfection.HypoPump.Flow", "AIT-421": "Riverside.Disinfection.ContactChannelOutlet.TotalCl2", "AIT-422": "Riverside.Disinfection.ContactChannelOutlet.FreeCl2", "AIT-423": "Riverside.Disinfection.ContactChannelMid.ORP", "AIT-424": "Riverside.Disinfection.ContactChannelOutlet.ORP",
		"AIT-425": "Riverside.Disinfection.ContactChannelOutlet.PH", "TIT-426": "Riverside.Disinfection.ContactChannelOutlet.Temp", "FIT-501": "Riverside.Disinfection.EffluentFlow.Value", "FIC-511": "Riverside.Dechlor.BisulfitePump.Flow", "AIT-521": "Riverside.Dechlor.Outfall.TotalCl2", "AIT-522": "Riverside.Dechlor.Outfall.ORP",
		"LAB-TRC": "Bench.ContactChannelOutlet.TotalCl2", "LAB-FIN": "Bench.Outfall.TotalCl2", "LAB-ECOLI": "Bench.Outfall.EColi", "LAB-TSS-INF": "Bench.Raw.TSS", "LAB-TSS-EFF": "Bench.Outfall.TSS", "LAB-BOD-INF": "Bench.Raw.BOD", "LAB-BOD-EFF": "Bench.Outfall.BOD",
		"X-AER-DO": "Riverside.Aeration.DO.Value", "X-RAS": "Riverside.SecondaryClarifiers.RAS.Flow", "X-SP": "Riverside.Disinfection.HypoPump.Setpoint", "X-STANK": "Riverside.Dechlor.BisulfiteTank.Level", "X-FIN-DO": "Riverside.Dechlor.Outfall.DO",
	}}},
	{"french, isa with descriptions", true, style{units: true, tags: map[string]string{
		"FIT-101": "FT 101|Débit eau brute", "AIT-301": "AT 301|Ammonium sortie clarificateur", "FIC-411": "FT 401|Débit javel", "AIT-421": "AT 402|Chlore total sortie bassin de contact", "AIT-422": "AT 403|Chlore libre sortie bassin de contact", "AIT-424": "AT 404|Potentiel redox sortie bassin de contact",
		"AIT-425": "AT 405|pH sortie bassin de contact", "TIT-426": "TT 405|Température sortie bassin de contact", "FIT-501": "FT 501|Débit eau traitée", "FIC-511": "FT 451|Débit bisulfite de sodium", "AIT-521": "AT 502|Chlore total point de rejet", "AIT-522": "AT 503|Potentiel redox point de rejet",
		"LAB-TRC": "LB 1|Chlore total bassin de contact", "LAB-FIN": "LB 2|Chlore total rejet", "LAB-ECOLI": "LB 3|E. coli rejet", "LAB-TSS-INF": "LB 4|MES eau brute", "LAB-TSS-EFF": "LB 5|MES rejet", "LAB-BOD-INF": "LB 6|DBO5 eau brute", "LAB-BOD-EFF": "LB 7|DBO5 rejet",
		"X-INF-PH": "AT 102|pH eau brute", "X-RAS": "FT 310|Débit recirculation des boues", "X-WAS": "FT 311|Débit extraction des boues", "X-AER-DO": "AT 201|Oxygène dissous bassin d'aération", "X-FIN-PH": "AT 504|pH point de rejet", "X-HTANK": "LT 400|Niveau cuve javel",
	}}},
	{"dutch, with descriptions", true, style{units: true, tags: map[string]string{
		"FIT-101": "FT-110|Debiet influent", "AIT-301": "QT-330|Ammonium afloop nabezinktank", "FIC-411": "FT-410|Debiet dosering hypochloriet", "AIT-421": "QT-421|Totaal chloor uitlaat contacttank", "AIT-424": "QT-422|Redox uitlaat contacttank",
		"AIT-425": "QT-423|pH uitlaat contacttank", "TIT-426": "TT-424|Temperatuur uitlaat contacttank", "FIT-501": "FT-510|Debiet effluent", "FIC-511": "FT-440|Debiet dosering bisulfiet", "AIT-521": "QT-511|Totaal chloor lozingspunt", "AIT-522": "QT-512|Redox lozingspunt",
		"LAB-TRC": "LAB1|Totaal chloor contacttank", "LAB-FIN": "LAB2|Totaal chloor lozingspunt", "LAB-ECOLI": "LAB3|E. coli lozingspunt", "LAB-TSS-INF": "LAB4|Zwevende stof influent", "LAB-TSS-EFF": "LAB5|Zwevende stof effluent", "LAB-BOD-INF": "LAB6|BZV5 influent", "LAB-BOD-EFF": "LAB7|BZV5 effluent",
		"X-INF-PH": "QT-111|pH influent", "X-RAS": "FT-340|Debiet retourslib", "X-WAS": "FT-341|Debiet spuislib", "X-AER-DO": "QT-220|Zuurstof beluchtingstank",
	}}},
	{"spanish abbreviations", true, style{tags: map[string]string{
		"FIT-101": "Q_ENT", "FIC-411": "Q_HIPO", "AIT-421": "CLT_SAL_CC", "AIT-422": "CLL_SAL_CC", "AIT-424": "ORP_SAL_CC",
		"AIT-425": "PH_SAL_CC", "TIT-426": "T_SAL_CC", "FIT-501": "Q_SAL", "FIC-511": "Q_BISULF", "AIT-521": "CLT_DESC", "AIT-522": "ORP_DESC",
		"LAB-TRC": "LAB_CLT_CC", "LAB-FIN": "LAB_CLT_DESC", "LAB-ECOLI": "LAB_ECOLI_DESC", "LAB-TSS-INF": "LAB_SST_ENT", "LAB-TSS-EFF": "LAB_SST_DESC", "LAB-BOD-INF": "LAB_DBO_ENT", "LAB-BOD-EFF": "LAB_DBO_DESC",
		"X-INF-PH": "PH_ENT", "X-INF-TEMP": "T_ENT", "X-RAS": "Q_RECIRC", "X-WAS": "Q_PURGA", "X-AER-DO": "OD_REACTOR", "X-FIN-PH": "PH_DESC",
	}}},
	{"short headings with units", true, style{tags: map[string]string{
		"FIT-101": "Inf Q [MGD]", "AIT-301": "Sec NH3 [mg/L]", "FIC-411": "Cl2 pump [gal/h]", "AIT-421": "Pre-dechlor Cl2 [mg/L]", "AIT-424": "Pre-dechlor ORP [mV]",
		"AIT-425": "Pre-dechlor pH [SU]", "TIT-426": "Pre-dechlor T [deg C]", "FIT-501": "Eff Q [MGD]", "FIC-511": "Dechlor pump [gal/h]", "AIT-521": "Post-dechlor Cl2 [mg/L]", "AIT-522": "Post-dechlor ORP [mV]",
		"LAB-TRC": "Bench pre-dechlor Cl2", "LAB-FIN": "Bench post-dechlor Cl2", "LAB-ECOLI": "Eff E coli", "LAB-TSS-INF": "Inf TSS", "LAB-TSS-EFF": "Eff TSS", "LAB-BOD-INF": "Inf BOD", "LAB-BOD-EFF": "Eff BOD",
		"X-INF-PH": "Inf pH [SU]", "X-RAS": "RAS Q [MGD]", "X-WAS": "WAS Q [MGD]", "X-AER-DO": "Aer DO [mg/L]", "X-FIN-DO": "Eff DO [mg/L]", "X-STANK": "SBS tank [ft]",
	}}},
	{"elements numbered against the water", true, style{units: true, tags: map[string]string{
		"FIT-101": "FE-90", "AIT-301": "AE-61", "FIC-411": "FE-54", "AIT-421": "AE-42", "AIT-422": "AE-43", "AIT-423": "AE-48", "AIT-424": "AE-44",
		"AIT-425": "AE-45", "TIT-426": "TE-45", "FIT-501": "FE-30", "FIC-511": "FE-24", "AIT-521": "AE-11", "AIT-522": "AE-12",
		"LAB-TRC": "Bench A TRC", "LAB-FIN": "Bench B TRC", "LAB-ECOLI": "Bench B E. coli", "LAB-TSS-INF": "Bench R TSS", "LAB-TSS-EFF": "Bench B TSS", "LAB-BOD-INF": "Bench R BOD", "LAB-BOD-EFF": "Bench B BOD",
		"X-INF-PH": "AE-91", "X-INF-TEMP": "TE-91", "X-RAS": "FE-72", "X-WAS": "FE-73", "X-AER-DO": "AE-81", "X-FIN-DO": "AE-13", "X-HTANK": "LE-52",
	}}},
}

// freshStyle is a style of the second round.
type freshStyle struct {
	name  string
	count bool // only counts were looked at
	style
}
