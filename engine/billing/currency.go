package billing

import "strings"

// Currencies by the digits of their minor unit: ISO 4217's list one as its maintenance agency published it on
// 2023-01-01, without the metals, units of account and test codes that have no minor unit. XCG and ZWG, which are
// newer, are from memory.
var currencies = table(map[int32]string{
	0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF",
	2: "AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BMD BND BOB BOV BRL BSD BTN BWP BYN BZD CAD CDF CHE " +
		"CHF CHW CNY COP COU CRC CUC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD " +
		"HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU " +
		"MUR MVR MWK MXN MXV MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG " +
		"SEK SGD SHP SLE SLL SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD USN UYU UZS VED VES " +
		"WST XCD XCG YER ZAR ZMW ZWG ZWL",
	3: "BHD IQD JOD KWD LYD OMR TND",
	4: "CLF UYW",
})

func table(byDigits map[int32]string) map[string]int32 {
	digits := map[string]int32{}
	for d, codes := range byDigits {
		for _, code := range strings.Fields(codes) {
			digits[code] = d
		}
	}
	return digits
}

// IsCurrency reports whether a code is a currency's by ISO 4217.
func IsCurrency(code string) bool {
	_, ok := currencies[code]
	return ok
}

// Digits returns how many decimals the minor unit of a currency stands for; 2 for a code that is none.
func Digits(currency string) int32 {
	if d, ok := currencies[currency]; ok {
		return d
	}
	return 2
}
